// Prints what the page's own script says for each look: reads [{"looked", "now", "times", "doubted"}] as JSON.
import { readFileSync } from 'node:fs';
import vm from 'node:vm';

const script = readFileSync(new URL('../static/page/clarity.js', import.meta.url), 'utf-8');
const page = vm.createContext({ window: {} });
const { advice, answered } = vm.runInContext(`${script}; daybefore.clarity`, page);
const told = JSON.parse(readFileSync(0, 'utf-8')).map(({ presses, now, times, doubted }) => {
  // As on the page: one press after the other, each with the minute at which it was made.
  const looked = presses.reduce((kept, [question, answer, at]) => answered(kept, question, answer, at, times), {});
  return { looked, ...advice(looked, now, times, doubted) };
});
process.stdout.write(JSON.stringify(told));

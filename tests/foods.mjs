// Prints what the page's own script finds for each typed text: reads {"foods", "small", "letters", "typed"} as JSON.
import { readFileSync } from 'node:fs';
import vm from 'node:vm';

const script = readFileSync(new URL('../static/page/finding.js', import.meta.url), 'utf-8');
const page = vm.createContext({ window: {} });
const { index, find } = vm.runInContext(`${script}; daybefore.finding`, page);
const asked = JSON.parse(readFileSync(0, 'utf-8'));
const known = index(asked.foods, asked.small, asked.letters);
process.stdout.write(JSON.stringify(asked.typed.map((text) => find(known, text))));

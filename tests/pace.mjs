// What pace.js says. "table": reads {"offsets", "rows": [{"plan", "seed", "events", "now"}]} as JSON and prints what is
// said after each row's events. "walks SEED HOW_MANY": plays that many random sessions and prints what went wrong.
import { readFileSync } from 'node:fs';
import vm from 'node:vm';

const folder = new URL('../static/page/', import.meta.url);
const files = ['clock.js', 'due.js', 'pace.js', 'memory.js', 'diary.js'];
const from = process.env.DAYBEFORE_PACE || new URL('pace.js', folder);
const sources = files.map((name) => readFileSync(name === 'pace.js' ? from : new URL(name, folder), 'utf-8'));
const page = vm.createContext({});
page.window = page; // as in a browser, so that the scripts share their one name
const { clock, due, pace, memory, diary } = vm.runInContext(`${sources.join('\n')}; daybefore`, page);
const copied = (value) => JSON.parse(JSON.stringify(value));

/** A phone's storage: only text is kept. @returns {object} the diary on an empty phone */
function emptied() {
  const kept = {};
  page.localStorage = {
    getItem: (name) => (name in kept ? kept[name] : null),
    setItem: (name, value) => {
      kept[name] = String(value);
    },
  };
  return restarted();
}

/** The diary after the page was opened anew. */
function restarted() {
  memory.open('a');
  return diary;
}

function entries(plan, book) {
  return plan.steps.map((step) => book.counted(step.key));
}

function drunkElsewhere(plan, step, book) {
  return plan.steps
    .filter((other) => other.pace && other.id !== step.id)
    .flatMap((other) => copied(book.counted(other.key).times).map((time) => [time, other.pace.ml]));
}

function saidAt(plan, book, index, now, doubted) {
  const step = plan.steps[index];
  return pace.at(step.pace, book.counted(step.key), now, doubted, plan, drunkElsewhere(plan, step, book));
}

function current(plan, book, now) {
  const planned = due.at(plan, now).step;
  const held = pace.held(plan, entries(plan, book), planned, now);
  return held === -1 ? planned : held;
}

function answered(row, offsets) {
  const book = emptied();
  let doubted = false;
  for (const [key, times] of Object.entries(row.seed)) for (const time of times) book.drank(key, time);
  const at = (now) => row.plan.steps[current(row.plan, book, now)].key;
  for (const [now, act, more] of row.events) {
    if (act === 'drank') book.drank(doubted ? row.plan.steps[0].key : at(now), doubted ? 0 : now);
    else if (act === 'undo') book.undo(at(now));
    else if (act === 'sick' || act === 'resume') book.pause(at(now), now);
    else if (act === 'done') book.setDone(at(now), true);
    else if (act === 'began') book.setBegan(at(now), more);
    else if (act === 'not-yet') book.setBegan(at(now), -1);
    else if (act === 'set-back') doubted = true;
    else if (act === 'restart') {
      restarted();
      doubted = false;
    } else throw new Error(act);
  }
  const index = doubted ? 0 : current(row.plan, book, row.now);
  const step = row.plan.steps[index];
  if (!step || !step.pace || book.counted(step.key).done) return { step: step ? step.id : '', say: null };
  const said = saidAt(row.plan, book, index, row.now, doubted);
  const wall = (minute) => (minute ? clock.time(minute, { offsets }) : '');
  const count = book.counted(step.key).times.length;
  return {
    step: step.id, count, say: said.say, next: said.now ? 'now' : wall(said.next), end: wall(said.end),
    by: wall(said.by),
  };
}

/** Mulberry32: small, and the same everywhere. */
function random(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** One session as somebody may drink it; throws what is wrong. Times are epoch minutes from anywhere in two years. */
function walk(seed) {
  const roll = random(seed);
  const whole = (least, most) => least + Math.floor(roll() * (most - least + 1));
  const start = 29500000 + whole(0, 1000000);
  const minutes = whole(2, 6) * 5;
  const fastest = roll() < 0.5 ? minutes : Math.max(5, minutes - whole(1, 3) * 5);
  const ml = whole(3, 10) * 50;
  const glasses = whole(2, 16);
  const slack = whole(0, 12) * 10;
  const by = start + glasses * minutes + slack;
  const session = {
    kind: roll() < 0.8 ? 'drink' : 'extra-fluid', start, glasses, ml, last: whole(1, ml / 50) * 50, minutes, fastest,
    by, quiet: by + whole(-6, 6) * 10, keeps: roll() < 0.3 ? glasses * minutes + whole(0, 60) : 0,
  };
  session.quiet = Math.max(session.quiet, start + glasses * minutes);
  const most = roll() < 0.8 ? Math.max(ml, Math.ceil(60 / minutes) * ml + whole(-2, 2) * 50) : 0;
  const steady = roll() < 0.2;
  const drunk = roll() < 0.3 ? [[start - whole(11, 90), whole(2, 5) * 50]] : [];
  const book = emptied();
  const shadow = []; // the glasses as counted, kept apart from the diary
  const temper = whole(fastest - 4, minutes * 2); // minutes this person takes
  let now = start + whole(-10, 60);
  const seen = [];
  let soonest = 0; // the least pause proposed since the last glass, before a sickness
  const fail = (what) => {
    throw new Error(`${what}; seed ${seed}: ${JSON.stringify({ session, most, steady, seen })}`);
  };

  function look() {
    const counted = book.counted('a');
    if (JSON.stringify(counted.times) !== JSON.stringify(shadow)) fail('a glass was forgotten');
    const said = pace.at(session, counted, now, false, { most, steady }, drunk);
    seen.push([now - start, said.say, said.next && said.next - start]);
    const limit = Math.min(session.by, session.quiet);
    const known = shadow.length > 0 && shadow[shadow.length - 1] > 0;
    const last = shadow[shadow.length - 1];
    if (said.next) {
      if (!known) fail('a pace after a glass whose time is not known');
      if (shadow.length >= glasses) fail('more glasses than the session has');
      if (said.next < last + fastest) fail('a glass sooner than the fastest pace');
      if (said.every < fastest) fail('glasses closer together than the fastest pace');
      if (said.next < now) fail('a glass in the past');
      // Drinking on as proposed, with the hour as a ruler of its own.
      // A glass whose time is not known was drunk by the time of the next one that has one.
      const latest = shadow.map((time, place) => time || shadow.slice(place).find((one) => one > 0));
      const all = [...drunk, ...latest.map((time) => [time, ml])];
      let time = said.next;
      for (let glass = shadow.length; glass < glasses; glass++) {
        const amount = glass === glasses - 1 ? session.last : ml;
        if (most) {
          const within = () => all.filter(([at]) => at > time - 60).reduce((sum, [, one]) => sum + one, amount);
          if (glass === shadow.length && within() > most) fail('more than the hour allows');
          while (within() > most) time += 1;
        }
        all.push([time, amount]);
        if (glass < glasses - 1) time += said.every;
      }
      if (time > limit) fail('an end after the cut-off without a call');
      if (session.keeps && time > Math.max(start, shadow.find((one) => one > 0)) + session.keeps) fail('an end after the mixture keeps');
      const paused = counted.pauses.length > 0;
      if ((paused || steady) && said.every < minutes) fail('a shorter pause between glasses after a sickness, or for the frail');
      if (paused && soonest && said.every < soonest) fail('a shorter pause than before the sickness');
      if (!paused) soonest = Math.max(soonest, said.every);
    }
    if (said.end && said.end > limit && said.say !== 'tight' && said.say !== 'call') fail('a forecast after the cut-off without a call');
    if (known && shadow.length < glasses && now > limit && said.say !== 'call') fail('after the cut-off without a call');
    if (known && !said.next && shadow.length < glasses && said.say !== 'call' && said.say !== 'paused') fail('silent in the middle of a session');
    if (steady && (said.say === 'slow' || said.say === 'tight')) fail('slow, steady, and no call');
    return said;
  }

  let doubt = 0;
  for (let turn = 0; turn < glasses * 3; turn++) {
    const said = look();
    if (said.say === 'jug' && roll() < 0.8) break;
    now += Math.max(0, whole(temper - 6, temper + 6));
    const chance = roll();
    if (chance < 0.04 && shadow.length) {
      book.undo('a');
      shadow.pop();
      seen.push('undo');
    } else if (chance < 0.08) {
      book.pause('a', now);
      look();
      now += whole(5, 60);
      book.pause('a', now);
      seen.push('pause');
    } else if (chance < 0.12) {
      restarted();
      seen.push('restart');
    } else if (chance < 0.14) {
      doubt = whole(1, 2); // glasses counted while the clock is in doubt
    } else if (said.say !== 'jug' && shadow.length < glasses) {
      const times = roll() < 0.05 ? 2 : 1;
      for (let one = 0; one < times && shadow.length < glasses; one++) {
        const time = doubt > 0 ? 0 : now;
        doubt -= 1;
        book.drank('a', time);
        shadow.push(time);
      }
    }
  }
  look();
  return seen;
}

const [what, seed, many] = process.argv.slice(2);
if (what === 'table') {
  const asked = JSON.parse(readFileSync(0, 'utf-8'));
  process.stdout.write(JSON.stringify(asked.rows.map((row) => answered(row, asked.offsets))));
} else {
  const wrong = [];
  const told = {};
  for (let one = 0; one < Number(many); one++) {
    try {
      const seen = walk((Number(seed) * 1000003 + one) >>> 0).filter((turn) => typeof turn !== 'string');
      for (const [, say] of seen) told[say] = (told[say] || 0) + 1;
    } catch (error) {
      wrong.push(error.message);
    }
  }
  process.stdout.write(JSON.stringify({ wrong: wrong.slice(0, 5), many: wrong.length, told }));
}

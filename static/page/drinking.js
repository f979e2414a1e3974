// @ts-check
// The drinking session on the card: the jug, the count, the next glass, and what pace.js says about it.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const clock = daybefore.clock;
  const diary = daybefore.diary;
  const memory = daybefore.memory;
  const pace = daybefore.pace;
  const plan = daybefore.block.plan;
  const words = daybefore.block.words;
  const dom = daybefore.dom;
  const element = dom.element;
  const append = dom.append;
  const NEAR = 240; // minutes after its planned end in which a glass without a time may lie within the last hour
  const CHOICES = 6; // times offered for "when have you started"
  const DEEP = 60; // of the jug's inside, in the drawing's units
  const BOTTOM = 66;

  let spoken = '';
  /** Draws the card again. */
  let redraw = () => {};

  /** @param {() => void} draw */
  function start(draw) {
    redraw = draw;
  }

  /** @param {Step} step @returns {Counted} */
  function entryOf(step) {
    return diary.counted(step.key);
  }

  /** The session that stays on the card, or the step due by the plan. @param {number} due @param {number} now */
  function current(due, now) {
    const held = pace.held(plan, plan.steps.map(entryOf), due, now);
    return held === -1 ? due : held;
  }

  /** The session begun and not ended, where the clock is in doubt. */
  function begun() {
    return plan.steps.filter((/** @type {Step} */ step) => {
      const entry = entryOf(step);
      return step.pace && !entry.done && entry.times.length && entry.times.length < step.glasses;
    }).pop();
  }

  /** @param {Step} step @param {number} now @param {boolean} doubted @returns {Said} */
  function saidOf(step, now, doubted) {
    /** @type {number[][]} glasses of the other sessions that may count for the hour */
    const drunk = [];
    for (const other of plan.steps) {
      for (const time of other.pace && other !== step ? entryOf(other).times : []) {
        if (time || now < (other.end || other.start) + NEAR) drunk.push([time, other.pace.ml]);
      }
    }
    return pace.at(step.pace, entryOf(step), now, doubted, plan, drunk);
  }

  /** @param {Step} step @param {number} count */
  function showJug(step, count) {
    const session = /** @type {Session} */ (step.pace);
    const all = session.ml * (session.glasses - 1) + session.last;
    const left = count < session.glasses ? all - session.ml * count : 0;
    const deep = Math.round((DEEP * left) / all);
    for (const id of ['jug', 'jug-left']) dom.show(id, step.kind === 'drink');
    element('jug-level').setAttribute('y', /** @type {any} */ (BOTTOM - deep));
    element('jug-level').setAttribute('height', /** @type {any} */ (deep));
    dom.rewrite('jug-left', words.jugLeft, { volume: left + '\u00a0mL' });
  }

  /** @param {Step} step @param {number} count @param {boolean} doubted */
  function showCount(step, count, doubted) {
    const text = count ? clock.form(words.glasses, count, plan.plural) : words.noGlass;
    dom.rewrite('card-count', text, { n: count, of: step.glasses });
    dom.show('drank', count < step.glasses);
    dom.show('undo', count);
    /** @param {string} id @param {string} other takes the focus when this one goes @param {() => void} act */
    function counts(id, other, act) {
      dom.onPress(id, () => {
        dom.say('');
        spoken = '';
        act();
        redraw();
        if (element(id).hasAttribute('hidden')) element(other).focus();
      });
    }
    counts('drank', 'undo', () => diary.drank(step.key, doubted ? 0 : dom.minute()));
    counts('undo', 'drank', () => diary.undo(step.key));
  }

  /** @param {Step} step @param {Said} said @param {number} paused since when; 0: not */
  function showLines(step, said, paused) {
    const target = element('pace');
    if (!dom.isAnother(target, JSON.stringify([step.id, said, paused]))) return;
    /** @param {any} so whether it is said @param {string} text @param {number} [time] */
    function line(so, text, time) {
      if (so) dom.write(append(target, 'p', ''), text, time ? { time: clock.time(time, plan) } : {});
    }
    /** The unit's answer to a question, as it stands on the page. @param {any} so @param {string} name */
    function answer(so, name) {
      if (so) dom.repeat(target, dom.all('#ask-' + name + ' p:not(.see)'));
    }
    const call = said.say === 'call';
    const tight = said.say === 'tight';
    line(said.next, said.now ? words.nextNow : words.nextAt, said.next);
    line(said.end && !said.over, words.paceEnd, said.end);
    line(said.by, words.paceBy, said.by);
    line(tight, words.paceIfNot);
    if (call) append(append(target, 'p', ''), 'strong', words.paceCall);
    line(call && said.over, words.stopUntil);
    line(tight || (call && !said.over && !paused), words.paceUntil);
    line(said.say === 'jug', words.jugAsk);
    line(said.say === 'ask', words.started);
    answer(said.say === 'not-yet', 'started-after');
    line(paused, words.pausedAt, paused);
    answer(paused, 'sick');
  }

  /** Since when a session is paused; 0: it is not. @param {Step} step */
  function pausedAt(step) {
    const pauses = entryOf(step).pauses;
    const last = pauses[pauses.length - 1];
    return last && !last[1] ? last[0] : 0;
  }

  /** @param {Step} step */
  function isUnmarked(step) {
    return step.glasses > 1 && !memory.get('glass') && !entryOf(step).times.length;
  }

  /** How to mark the glass, until it is marked. @param {Step} step */
  function showMeasure(step) {
    const source = document.querySelector('#steps .pace p');
    const target = element('measure');
    target.hidden = !source || !isUnmarked(step);
    if (source && dom.isAnother(target, 'yes')) dom.repeat(target, source.childNodes);
  }

  /** What can be pressed besides the count. @param {Step} step @param {Said} said @param {number} now @param {number} paused @param {boolean} doubted */
  function showActs(step, said, now, paused, doubted) {
    /** @type {[string, () => void][]} */
    const acts = [];
    if (said.say === 'ask') {
      // The times at which it may have been begun.
      const every = 30 * Math.max(1, Math.ceil((now - step.start) / 30 / CHOICES));
      for (let time = step.start; time <= now && acts.length < CHOICES; time += every) {
        acts.push([clock.time(time, plan), () => diary.setBegan(step.key, time)]);
      }
      acts.push([words.notYet, () => diary.setBegan(step.key, -1)]);
    } else if (paused) {
      acts.push([words.resume, () => diary.pause(step.key, dom.minute())]);
    } else if (entryOf(step).times.length < step.glasses && said.say !== 'not-yet') {
      for (const sick of dom.all('#ask-sick summary')) {
        acts.push([sick.textContent || '', () => diary.pause(step.key, dom.minute())]);
      }
    }
    if (isUnmarked(step)) acts.push([words.glassMarked, () => memory.set('glass', true)]);

    const target = element('pace-acts');
    const had = target.contains(document.activeElement);
    if (!dom.isAnother(target, doubted ? '' : step.key + acts.map((act) => act[0]).join())) return;
    for (const act of doubted ? [] : acts) {
      dom.button(target, 'quiet', act[0], () => {
        act[1]();
        redraw();
      });
    }
    if (had) /** @type {HTMLElement} */ (target.firstChild || element('now-heading')).focus();
  }

  /** A voice reads what has become different: the count after a press, the pace when it says another thing. @param {Said} said */
  function speak(said) {
    const count = element('card-count').textContent;
    const sounds = said.say + said.next + count;
    if (sounds === spoken) return;
    const first = !spoken && element('spoken').textContent;
    spoken = sounds;
    if (!first) dom.say(count + ' ' + element('pace').textContent);
  }

  function hide() {
    dom.show('drinking', false);
    spoken = '';
    placeCall('card-next');
  }

  /** The line that answers stands right below the call. @param {string} above */
  function placeCall(above) {
    const call = element('card-call');
    // Moved only where it is another place: what is moved loses the focus.
    if (element(above).nextElementSibling !== call) element(above).after(call);
  }

  /** @param {Step} step a drinking session @param {number} now @param {boolean} doubted */
  function show(step, now, doubted) {
    const entry = entryOf(step);
    const said = saidOf(step, now, doubted);
    const counts = step.glasses > 1;
    const paused = pausedAt(step);
    if (entry.done || !(counts || said.say === 'ask' || said.say === 'not-yet')) return hide();
    const home = element(doubted ? 'doubt' : 'card');
    const panel = element('drinking');
    if (panel.parentElement !== home) home.insertBefore(panel, doubted ? null : element('card-lines'));
    dom.show('drinking', true);
    for (const id of ['counting', 'drank-or-not']) dom.show(id, counts);
    if (counts) {
      showJug(step, entry.times.length);
      showCount(step, entry.times.length, doubted);
    }
    showMeasure(step);
    showLines(step, said, paused);
    showActs(step, said, now, paused, doubted);
    const calls = paused || 'call tight not-yet'.includes(said.say);
    placeCall(calls && !doubted ? 'pace' : 'card-next');
    speak(said);
  }

  daybefore.drinking = { start, current, begun, show, hide };
})();

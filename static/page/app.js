// @ts-check
// Joins the parts on the page: what is now, the glasses, the ticks, the number that answers, saved or not.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /** @typedef {{id: string, key: string, kind: string, start: number, end: number | null, glasses: number, when: string, time: string, title: string}} Step */
  /** @typedef {{lines: string[][], calls: number[][], words: any, emergency: string}} Lines */
  /** @typedef {Lines & {mark: string, what: string, made: number, until: number, offsets: number[][]}} Notice */
  /** @typedef {{mark: string, made: number, offsets: number[][], plural: string, steps: Step[], cues: number[][], lines: string[][], calls: number[][], words: any, emergency: string}} Plan */

  // Kinds that nobody does: they are only to be known, so they have no button.
  const NOT_DONE = ['watch', 'procedure', 'medicine', 'pause'];
  const LTR = ['time', 'phone', 'emergency', 'n', 'of', 'hours', 'minutes'];

  /** @param {string} id @returns {HTMLElement} */
  function element(id) {
    const found = document.getElementById(id);
    if (!found) throw new Error('no element ' + id);
    return found;
  }

  /**
   * Puts a text into an element, each value isolated from the direction of the words around it.
   * @param {HTMLElement} target
   * @param {string} text
   * @param {Record<string, string | number>} values
   */
  function write(target, text, values) {
    for (const part of text.split(/(\{[a-z0-9_]+\})/)) {
      const name = part.slice(1, -1);
      if (part.charAt(0) === '{' && name in values) {
        const value = document.createElement('bdi');
        value.dir = LTR.indexOf(name) === -1 ? document.documentElement.dir : 'ltr';
        value.textContent = String(values[name]);
        target.appendChild(value);
      } else if (part) {
        target.appendChild(document.createTextNode(part));
      }
    }
  }

  /** @param {HTMLElement} target @param {string} tag @param {string} text */
  function append(target, tag, text) {
    const child = document.createElement(tag);
    if (tag === 'bdi') child.dir = document.documentElement.dir;
    child.textContent = text;
    target.appendChild(child);
    return child;
  }

  /** @param {HTMLElement} target @param {string} shown @param {string} dial */
  function appendPhone(target, shown, dial) {
    const link = /** @type {HTMLAnchorElement} */ (append(target, 'a', ''));
    link.className = 'phone';
    link.href = 'tel:' + dial;
    const number = append(link, 'bdi', shown);
    number.dir = 'ltr';
  }

  function minute() {
    return Math.floor(Date.now() / 60000);
  }

  /** The phone's minutes east of UTC. */
  function offset() {
    return -new Date().getTimezoneOffset();
  }

  /**
   * The line that answers at a moment, in the text and in the bar at the bottom.
   * @param {Lines} plan @param {number} now
   */
  function showCall(plan, now) {
    const target = element('card-call');
    target.textContent = '';
    const line = daybefore.due.line(plan, now);
    const closed = element('bar-closed');
    element('bar-phone').hidden = element('bar-words').hidden = line === -1;
    closed.hidden = line !== -1;
    if (line === -1) {
      write(target, plan.words.callClosed, { emergency: plan.emergency });
      closed.textContent = '';
      write(closed, plan.words.callClosed, { emergency: plan.emergency });
      return;
    }
    append(target, 'span', plan.words.callNow + ' ');
    appendPhone(target, plan.lines[line][0], plan.lines[line][1]);
    showInBar(plan.lines[line]);
  }

  /** @param {string[]} line shown and dialled */
  function showInBar(line) {
    const bar = /** @type {HTMLAnchorElement} */ (element('bar-phone'));
    bar.href = 'tel:' + line[1];
    if (bar.firstElementChild) bar.firstElementChild.textContent = line[0];
  }

  /** Draws now, each quarter of a minute, and on waking. @param {() => void} draw */
  function keepDrawing(draw) {
    draw();
    setInterval(draw, 15000);
    for (const name of ['pageshow', 'focus']) window.addEventListener(name, draw);
    document.addEventListener('visibilitychange', draw);
  }

  function start() {
    const block = document.getElementById('plan');
    if (!block) {
      startNotice();
      return;
    }
    /** @type {Plan} */
    const plan = JSON.parse(block.textContent || '');
    const words = plan.words;
    const diary = daybefore.diary.open(plan.mark);
    let shownStep = -2;

    /** @param {number} now @param {number} then */
    function left(now, then) {
      return daybefore.clock.left(Math.max(1, then - now), words, plan.plural);
    }

    /** @param {Step} step */
    function lines(step) {
      const target = element('card-lines');
      target.textContent = '';
      const source = document.querySelector('#step-' + step.id + ' .lines');
      if (source) for (const line of Array.from(source.children)) target.appendChild(line.cloneNode(true));
    }

    /** @param {Step} step @param {number} now */
    function showStep(step, now) {
      const done = diary.isDone(step.key);
      const when = element('card-when');
      when.textContent = '';
      append(when, 'bdi', step.when);
      if (step.start > now) {
        const time = left(now, step.start);
        append(when, 'span', ' · ');
        write(append(when, 'span', ''), time.text, time.values);
      }
      element('card-title').textContent = step.title;
      if (done) {
        element('card-lines').textContent = '';
        append(element('card-lines'), 'p', words.ticked);
      } else {
        lines(step);
      }
      showGlasses(step, done);
      const button = element('done');
      button.hidden = NOT_DONE.indexOf(step.kind) >= 0;
      button.setAttribute('aria-pressed', String(done));
      button.onclick = function () {
        diary.setDone(step.key, !diary.isDone(step.key));
        draw();
      };
    }

    /** @param {Step} step @param {boolean} done */
    function showGlasses(step, done) {
      const count = diary.glasses(step.key);
      const counts = step.glasses > 1 && !done;
      const text = element('card-count');
      text.hidden = element('drank').hidden = element('undo').hidden = !counts;
      if (!counts) return;
      text.textContent = '';
      if (count === 0) write(text, words.noGlass, { of: step.glasses });
      else write(text, daybefore.clock.form(words.glasses, count, plan.plural), { n: count, of: step.glasses });
      element('undo').hidden = count === 0;
      element('drank').hidden = count >= step.glasses;
      element('drank').onclick = function () {
        diary.setGlasses(step.key, Math.min(step.glasses, diary.glasses(step.key) + 1));
        element('spoken').textContent = '';
        draw();
        element('spoken').textContent = text.textContent;
        if (element('drank').hidden) element('undo').focus();
      };
      element('undo').onclick = function () {
        diary.setGlasses(step.key, Math.max(0, diary.glasses(step.key) - 1));
        draw();
        if (element('undo').hidden) element('drank').focus();
      };
    }

    /** @param {string} title */
    function showNothing(title) {
      element('card-title').textContent = title;
      for (const id of ['card-when', 'card-lines']) element(id).textContent = '';
      for (const id of ['card-count', 'drank', 'undo', 'done']) element(id).hidden = true;
    }

    /** @param {number} next @param {number} now */
    function showNext(next, now) {
      const target = element('card-next');
      target.textContent = '';
      target.hidden = next === -1;
      if (next === -1) return;
      const step = plan.steps[next];
      append(target, 'span', words.next + ' ');
      append(target, 'strong', step.title);
      append(target, 'br', '');
      append(target, 'bdi', step.when);
      append(target, 'span', ' · ');
      const time = left(now, step.start);
      write(append(target, 'span', ''), time.text, time.values);
    }

    function draw() {
      const now = minute();
      const doubted = daybefore.due.doubted(plan, now, offset());
      element('doubt').hidden = !doubted;
      element('card').hidden = doubted;
      const due = daybefore.due.at(plan, now);
      mark(doubted ? -1 : due.step);
      if (doubted) return;
      if (due.step !== -1) showStep(plan.steps[due.step], now);
      else showNothing(due.over ? words.over : words.rest);
      showNext(due.next, now);
      showCall(plan, now);
      if (due.step !== shownStep && shownStep !== -2) {
        element('spoken').textContent = element('card-title').textContent;
      }
      shownStep = due.step;
    }

    /** @param {number} current */
    function mark(current) {
      plan.steps.forEach(function (step, index) {
        const row = element('step-' + step.id);
        if (index === current) row.setAttribute('aria-current', 'step');
        else row.removeAttribute('aria-current');
        const button = row.querySelector('button');
        if (button) button.setAttribute('aria-pressed', String(diary.isDone(step.key)));
      });
    }

    function addTicks() {
      for (const step of plan.steps) {
        if (NOT_DONE.indexOf(step.kind) >= 0) continue;
        const place = document.querySelector('#step-' + step.id + ' .what');
        if (!place) continue;
        const button = /** @type {HTMLButtonElement} */ (append(/** @type {HTMLElement} */ (place), 'button', words.tick));
        button.type = 'button';
        button.className = 'tick';
        button.setAttribute('aria-label', words.tick + ': ' + step.title);
        button.onclick = function () {
          diary.setDone(step.key, !diary.isDone(step.key));
          draw();
        };
      }
    }

    document.documentElement.classList.add('scripted');
    addTicks();
    keepDrawing(draw);
    startSaving(plan.mark, false);
  }

  /** A page that stands in the place of a plan: held, cancelled, ended, or the farewell. */
  function startNotice() {
    const block = document.getElementById('notice');
    if (!block) return;
    /** @type {Notice} */
    const notice = JSON.parse(block.textContent || '');

    function draw() {
      const now = minute();
      const known = now < notice.until && !daybefore.due.doubted(notice, now, offset());
      element('card-call').hidden = !known;
      if (known) {
        showCall(notice, now);
        return;
      }
      // Which line answers is not known, so the first one stands, as without script.
      element('bar-phone').hidden = element('bar-words').hidden = false;
      element('bar-closed').hidden = true;
      showInBar(notice.lines[0]);
    }

    document.documentElement.classList.add('scripted');
    const farewell = notice.what === 'farewell';
    if (farewell) offerClearing(notice.mark);
    else keepDrawing(draw);
    startSaving(notice.mark, farewell);
  }

  /** Nothing is cleared until the reader says so. @param {string} mark */
  function offerClearing(mark) {
    const button = /** @type {HTMLButtonElement} */ (element('clear-phone'));
    button.hidden = false;
    button.onclick = function () {
      button.disabled = true;
      const forgotten = daybefore.diary.forget(mark);
      daybefore.offline.wipe().then(function (/** @type {boolean} */ wiped) {
        button.hidden = true;
        element(forgotten && wiped ? 'cleared' : 'not-cleared').hidden = false;
      });
    };
  }

  /** @param {string} mark @param {boolean} onlyIfKept keeps nothing on a phone that kept nothing of the plan */
  function startSaving(mark, onlyIfKept) {
    const saved = document.getElementById('saved');
    /** @type {string[]} */
    const assets = [];
    for (const node of Array.from(document.querySelectorAll('link[rel="stylesheet"],link[rel="apple-touch-icon"],script[src]'))) {
      assets.push(node.getAttribute('href') || node.getAttribute('src') || '');
    }
    daybefore.offline.start({
      mark: mark,
      assets: assets,
      onlyIfKept: onlyIfKept,
      /** @param {string} state */
      onState: function (state) {
        if (saved) saved.setAttribute('data-state', state);
      },
      onGone: function () {
        document.documentElement.setAttribute('data-gone', '');
      },
      busy: function () {
        return false;
      },
    });
  }

  start();
})();

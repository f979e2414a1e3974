// @ts-check
// The card: what to do at this moment, what comes next, and which number answers.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  // Kinds that nobody does: they are only to be known, so they have no button.
  const NOT_DONE = 'watch procedure medicine pause';
  const WEEK = 8640; // minutes of six days
  const clock = daybefore.clock;
  const diary = daybefore.diary;
  const drinking = daybefore.drinking;
  const plan = daybefore.block.plan;
  const words = daybefore.block.words;
  const dom = daybefore.dom;
  const element = dom.element;
  const append = dom.append;

  /** The line that answers at a moment, in the text and in the bar at the bottom. @param {number} now */
  function showCall(now) {
    if (writeCall(element('card-call'), now)) showInBar(daybefore.due.line(plan, now));
  }

  /**
   * Writes which line answers at a moment, or when the next one opens.
   * @param {HTMLElement} target @param {number} now
   * @returns {boolean} whether it is another line than before
   */
  function writeCall(target, now) {
    const line = daybefore.due.line(plan, now);
    const found = plan.lines[line];
    if (!dom.isAnother(target, String(line))) return false;
    if (found) {
      append(target, 'span', words.callNow + ' ');
      const link = /** @type {HTMLAnchorElement} */ (append(target, 'a', ''));
      link.className = 'phone';
      link.href = 'tel:' + found[1];
      append(link, 'bdi', found[0]).dir = 'ltr';
    } else {
      const opens = daybefore.due.opens(plan, now);
      // A weekday names one day only within a week.
      const when = (opens - now < WEEK ? clock.when : clock.dateTime)(opens, plan);
      dom.write(append(target, 'span', ''), words.callClosed, plan);
      if (opens !== -1) dom.write(append(target, 'span', ' '), words.callOpens, { when });
    }
    return true;
  }

  /** @param {number} line index of the line to offer; -1: none answers */
  function showInBar(line) {
    const found = plan.lines[line];
    const link = /** @type {HTMLAnchorElement} */ (element('bar-phone'));
    for (const id of ['bar-phone', 'bar-words']) dom.show(id, found);
    dom.rewrite('bar-closed', found ? '' : words.callClosed, plan).hidden = found;
    if (!found) return;
    link.href = 'tel:' + found[1];
    dom.all('#bar-phone bdi')[0].textContent = found[0];
  }

  /** Which line answers is not known, so the first one stands, as without script. */
  function showFirstLine() {
    delete element('card-call').dataset.shown;
    showInBar(plan.bar);
  }

  /** @type {string | null} what the button says that is on the page */
  let doneWords = '';
  let shownStep = -2;
  let moment = 0;
  let inDoubt = false;

  /** Makes the card ready. */
  function start() {
    doneWords = element('done').textContent;
    drinking.start(() => draw(moment, inDoubt));
    for (const step of plan.steps) {
      for (const place of dom.all('#step-' + step.id + ' .what')) {
        if (NOT_DONE.includes(step.kind)) continue;
        dom.button(place, 'tick', words.tick, () => toggle(step))
          .setAttribute('aria-label', words.tick + ': ' + step.title);
      }
    }
  }

  /** When a step is, and how long it is until then. @param {HTMLElement} target @param {Step} step */
  function writeWhen(target, step) {
    append(target, 'bdi', step.when);
    if (step.start <= moment) return;
    const left = clock.left(step.start - moment, words, plan.plural);
    append(target, 'span', ' · ');
    dom.write(append(target, 'span', ''), left.text, left.values);
  }

  /** @param {Step} step */
  function showStep(step) {
    const done = diary.isDone(step.key);
    const lines = element('card-lines');
    const button = element('done');
    showHead(step.title);
    writeWhen(element('card-when'), step);
    if (dom.isAnother(lines, step.id + done)) {
      if (done) append(lines, 'p', words.ticked);
      else for (const source of dom.all('#step-' + step.id + ' .lines')) dom.repeat(lines, source.children);
    }
    if (step.pace) drinking.show(step, moment, false);
    else drinking.hide();
    button.hidden = NOT_DONE.includes(step.kind);
    button.textContent = step.glasses > 1 && step.kind === 'drink' ? words.jugEmpty : doneWords;
    dom.mark(button, 'pressed', done);
    button.onclick = () => toggle(step);
  }

  /** @param {Step} step */
  function toggle(step) {
    diary.setDone(step.key, !diary.isDone(step.key));
    draw(moment, inDoubt);
  }

  /** @param {string} title */
  function showHead(title) {
    element('card-title').textContent = title;
    element('card-when').textContent = '';
  }

  /** @param {string} title */
  function showNothing(title) {
    showHead(title);
    dom.isAnother(element('card-lines'), '');
    drinking.hide();
    dom.show('done', false);
  }

  /** @param {number} next */
  function showNext(next) {
    const target = element('card-next');
    const step = plan.steps[next];
    dom.show('card-next', step);
    target.textContent = '';
    if (!step) return;
    append(target, 'span', words.next + ' ');
    append(target, 'strong', step.title);
    append(target, 'br', '');
    writeWhen(target, step);
  }

  /** The questions of this moment; between two doses there is no step, and people lie awake. @param {any} due */
  function askedAt(due) {
    const step = plan.steps[due.step];
    const next = plan.steps[due.next];
    if (step) return step.asked || [];
    return next && (next.dose || next.kind === 'wake') ? plan.night : [];
  }

  /** @param {number} current */
  function markInList(current) {
    plan.steps.forEach((/** @type {Step} */ step, /** @type {number} */ index) => {
      const row = element('step-' + step.id);
      const button = row.querySelector('.tick');
      if (index === current) row.setAttribute('aria-current', 'step');
      else row.removeAttribute('aria-current');
      if (button) dom.mark(button, 'pressed', diary.isDone(step.key));
    });
  }

  /** @param {number} now epoch minutes @param {boolean} doubted whether the phone's clock cannot be trusted */
  function draw(now, doubted) {
    moment = now;
    inDoubt = doubted;
    dom.show('doubt', doubted);
    dom.show('card', !doubted);
    const due = daybefore.due.at(plan, now);
    due.step = drinking.current(due.step, now);
    markInList(doubted ? -1 : due.step);
    if (doubted) {
      // A session already begun keeps its count, and nothing else.
      const begun = drinking.begun();
      showFirstLine();
      if (begun) drinking.show(begun, moment, true);
      else drinking.hide();
      return;
    }
    if (plan.steps[due.step]) showStep(plan.steps[due.step]);
    else showNothing(due.next === -1 ? words.over : words.rest);
    showNext(due.next);
    daybefore.questions.offer(askedAt(due));
    showCall(now);
    if (due.step !== shownStep && shownStep !== -2) dom.say(element('card-title').textContent);
    shownStep = due.step;
  }

  daybefore.now = { start, draw, showCall, showFirstLine, writeCall };
})();

// @ts-check
// What the reader is asked: whether the appointment is theirs, and whether they have read what is different.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  // What a reader must not miss; the appointment stands for the arrival and the examination.
  const FIRST = 'instruction restart mix drink tablets enema stop-drinking leave';
  const IN_APPOINTMENT = 'arrive procedure';
  const clock = daybefore.clock;
  const memory = daybefore.memory;
  const plan = daybefore.block.plan;
  const words = daybefore.block.words;
  const dom = daybefore.dom;
  const element = dom.element;
  const append = dom.append;

  /**
   * Asks about the first plan on this phone, or about one that is another than the plan last confirmed. Of two
   * copies in one file each, nobody knows which is the later: there is no “changed”, each is asked about.
   * @param {(mine: boolean) => void} onAnswer told when the reader says whether the appointment is theirs
   * @returns {boolean} whether it is asked whether the appointment is theirs
   */
  function start(onAnswer) {
    const before = memory.get('seen');
    const known = before && before.steps;
    if (known && before.code === plan.code) return false;
    const asks = !known || dom.isCopy;
    dom.show(asks ? 'first' : 'change', true);
    if (!asks) showChange(before);
    dom.onPress('first-yes', () => {
      keep('first');
      onAnswer(true);
      element(element('start-now').hidden ? 'now-heading' : 'start-now-heading').focus();
    });
    dom.onPress('first-no', () => {
      dom.show('first-other', true);
      dom.show('first-no', false);
      element('first-yes').focus();
      onAnswer(false);
    });
    return asks;
  }

  /** @param {string} asked the question that is answered now */
  function keep(asked) {
    memory.set('seen', daybefore.change.snapshot(plan));
    dom.show(asked, false);
  }

  /** @param {any} before */
  function showChange(before) {
    const change = daybefore.change.between(before, plan);
    const same = element('change-same');
    const first = element('change-list');
    const more = element('change-more-list');
    if (change.appointment) line(same, 'li', words.sameAppointment, { when: clock.full(plan.arrival, plan) });
    if (change.medicine) line(same, 'li', words.sameMedicine, {});
    const n = change.same;
    if (n) line(same, 'li', clock.form(words.sameSteps, n, plan.plural), { n });

    if (!change.appointment) {
      const row = item(first, words.appointment);
      line(row, 'p', words.before, { when: clock.full(before.arrival, plan) });
      line(row, 'p', words.now, { when: clock.full(plan.arrival, plan) });
    }
    for (const [old, step] of change.other) {
      const one = step || old;
      if (old && step && !change.appointment && IN_APPOINTMENT.includes(one.kind)) continue;
      // The name of what is gone is in the language it was read in; in the middle of another it would only confuse.
      const named = step || before.lang === plan.lang;
      const row = item(FIRST.includes(one.kind) ? first : more, named ? one.title : words.goneUnnamed);
      const ends = old && step && old.start === step.start;
      if (!old) append(row, 'p', words.added);
      else if (step && old.key !== step.key) append(row, 'p', words.otherAmount);
      if (ends && old.end === step.end) continue;
      for (const [text, version] of [[words.before, old], [words.now, step]]) {
        if (!version) continue;
        const when = (version.allDay ? clock.date : clock.full)(version.start, plan);
        const told = line(row, 'p', text, { when });
        if (ends && version.end) dom.write(told, ' ' + words.until, { when: clock.full(version.end, plan) });
      }
      if (!step && named) append(row, 'p', words.gone);
    }
    dom.show('change-same-part', same.firstChild);
    dom.show('change-more', more.firstChild);
    if (!first.firstChild && !more.firstChild) append(first, 'li', words.wordsOnly);
    dom.onPress('change-read', () => {
      keep('change');
      element('now-heading').focus();
    });
  }

  /** @param {HTMLElement} list @param {string} title */
  function item(list, title) {
    const row = append(list, 'li', '');
    append(row, 'strong', title);
    return row;
  }

  /** @param {HTMLElement} target @param {string} tag @param {string} text @param {Record<string, string | number>} values */
  function line(target, tag, text, values) {
    return dom.write(append(target, tag, ''), text, values);
  }

  daybefore.confirm = { start };
})();

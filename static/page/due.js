// @ts-check
// What is due at a moment: pure, from the plan's data and the moment alone. The build worked out the cues.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /**
   * The last entry of an ascending list whose first number is not after the moment, or null.
   * @template {number[]} T
   * @param {T[]} entries
   * @param {number} now
   * @returns {T | null}
   */
  function last(entries, now) {
    let found = null;
    for (const entry of entries) if (entry[0] <= now) found = entry;
    return found;
  }

  /**
   * The step to do at a moment and the one that comes next, as indexes; -1: none.
   * @param {{cues: number[][], steps: {start: number, kind: string}[]}} plan
   * @param {number} now epoch minutes
   */
  function at(plan, now) {
    const cue = last(plan.cues, now);
    const step = cue ? cue[1] : -1;
    let next = -1;
    for (let index = plan.steps.length - 1; index >= 0; index--) {
      // What is only to be left alone is in the list, and never the thing that comes next.
      const comes = plan.steps[index].start > now && plan.steps[index].kind !== 'medicine';
      if (index !== step && comes) next = index;
    }
    return { step: step, next: next, over: step === -1 && next === -1 };
  }

  /**
   * The first of the unit's lines that answers at a moment, or -1.
   * @param {{calls: number[][]}} plan
   * @param {number} now epoch minutes
   */
  function line(plan, now) {
    let first = -1;
    for (const call of plan.calls) {
      if (call[0] <= now && now < call[1] && (first === -1 || call[2] < first)) first = call[2];
    }
    return first;
  }

  /**
   * Whether the phone's clock or zone cannot be trusted: it stands before the plan was made, or its offset
   * is not the unit's. Then nothing is called "now".
   * @param {{made: number, offsets: number[][]}} plan
   * @param {number} now epoch minutes
   * @param {number} offset the phone's minutes east of UTC at that moment
   */
  function doubted(plan, now, offset) {
    const unit = last(plan.offsets, now);
    return now < plan.made - 24 * 60 || (unit !== null && unit[1] !== offset);
  }

  daybefore.due = { at: at, line: line, doubted: doubted };
})();

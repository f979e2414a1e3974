// @ts-check
// What is due at a moment: pure, from the plan's data and the moment alone. The build worked out the cues.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /**
   * The last entry of an ascending list whose first number is not after the moment.
   * @param {number[][]} entries
   * @param {number} now
   * @returns {number[] | undefined}
   */
  function last(entries, now) {
    return entries.filter((entry) => entry[0] <= now).pop();
  }

  /**
   * The step to do at a moment and the one that comes next, as indexes; -1: none.
   * @param {{cues: number[][], steps: {start: number, kind: string}[]}} plan
   * @param {number} now epoch minutes
   */
  function at(plan, now) {
    const step = (last(plan.cues, now) || [0, -1])[1];
    // What is only to be left alone is in the list, and never the thing that comes next.
    const next = plan.steps.findIndex((one, index) => index !== step && one.start > now && one.kind !== 'medicine');
    return { step, next };
  }

  /**
   * The first of the unit's lines that answers at a moment, or -1.
   * @param {{calls: number[][]}} plan
   * @param {number} now epoch minutes
   */
  function line(plan, now) {
    return least(plan.calls.filter((call) => call[0] <= now && now < call[1]), 2);
  }

  /** The least figure at a place of some stretches; -1: there are none. @param {number[][]} calls @param {number} place */
  function least(calls, place) {
    return calls.length ? Math.min(...calls.map((call) => call[place])) : -1;
  }

  /**
   * The minute at which the next line opens, or -1.
   * @param {{calls: number[][]}} plan
   * @param {number} now epoch minutes
   */
  function opens(plan, now) {
    return least(plan.calls.filter((call) => call[0] > now), 0);
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
    return now < plan.made - 1440 || (unit || [0, offset])[1] !== offset;
  }

  daybefore.due = { at, line, opens, doubted };
})();

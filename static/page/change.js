// @ts-check
// What is another in a new plan: pure, from the plan the reader last confirmed and the one now shown.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /**
   * What is kept of a plan that was confirmed. Times are epoch minutes.
   * @typedef {{id: string, key: string, kind: string, start: number, end?: number, allDay?: boolean, dose?: boolean, title: string}} Row
   * @typedef {{code: string, lang: string, medicine: string, procedure: number, arrival: number, steps: Row[]}} Snapshot
   */

  /** @param {Snapshot} plan @returns {Snapshot} */
  function snapshot({ code, lang, medicine, procedure, arrival, steps }) {
    return { code, lang, medicine, procedure, arrival, steps };
  }

  /**
   * The difference of two plans of one booking.
   * @param {Snapshot} before
   * @param {Snapshot} now
   * @returns {{appointment: boolean, medicine: boolean, same: number, other: (Row | undefined)[][]}}
   *   appointment, medicine: whether arrival and examination, or the doses and amounts, are the same; same: how many
   *   steps are; other: each other step before and now, those that are gone at the end
   */
  function between(before, now) {
    /** @type {(Row | undefined)[][]} */
    const pairs = now.steps.map((step) => [before.steps.find((old) => old.id === step.id), step]);
    const other = pairs.filter(([old, step]) => (
      !old || !step || old.key !== step.key || old.start !== step.start || old.end !== step.end
    ));
    const gone = before.steps.filter((old) => !now.steps.some((step) => step.id === old.id));
    return {
      appointment: before.procedure === now.procedure && before.arrival === now.arrival,
      medicine: before.medicine === now.medicine && doses(before) === doses(now),
      same: pairs.length - other.length,
      other: other.concat(gone.map((old) => [old])),
    };
  }

  /** @param {Snapshot} plan */
  function doses(plan) {
    return plan.steps.filter((step) => step.dose).map((step) => step.key).join();
  }

  daybefore.change = { snapshot, between };
})();

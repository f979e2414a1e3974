// @ts-check
// What the person ticked and counted. It stays on this phone, under the plan's mark, and is no judgement:
// what is not ticked is unknown, not missed.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /**
   * @typedef {{done: Record<string, boolean>, glasses: Record<string, number>}} Entries
   */

  /**
   * The diary of one plan. Where the browser keeps nothing, it lasts as long as the page is open.
   * @param {string} mark
   */
  function open(mark) {
    const name = 'daybefore:' + mark + ':diary';
    /** @type {Entries} */
    let entries = { done: {}, glasses: {} };
    try {
      const kept = JSON.parse(localStorage.getItem(name) || 'null');
      if (kept && kept.done && kept.glasses) entries = kept;
    } catch (_) {
      // Private windows throw, and a damaged entry is no reason to stop: begin an empty diary.
    }

    function keep() {
      try {
        localStorage.setItem(name, JSON.stringify(entries));
      } catch (_) {
        // Nothing can be kept here; the page goes on without.
      }
    }

    return {
      /** @param {string} key */
      isDone: function (key) {
        return entries.done[key] === true;
      },
      /** @param {string} key @param {boolean} done */
      setDone: function (key, done) {
        if (done) entries.done[key] = true;
        else delete entries.done[key];
        keep();
      },
      /** @param {string} key */
      glasses: function (key) {
        return entries.glasses[key] || 0;
      },
      /** @param {string} key @param {number} count */
      setGlasses: function (key, count) {
        entries.glasses[key] = count;
        keep();
      },
    };
  }

  daybefore.diary = { open: open };
})();

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

  /** @param {string} mark */
  function nameOf(mark) {
    return 'daybefore:' + mark + ':diary';
  }

  /**
   * The diary of one plan. Where the browser keeps nothing, it lasts as long as the page is open.
   * @param {string} mark
   */
  function open(mark) {
    const name = nameOf(mark);
    /** @type {Entries} */
    let entries = { done: {}, glasses: {} };

    // Read before each use: the same plan may be open twice, in a tab and under its icon, or in two languages.
    function read() {
      try {
        const kept = JSON.parse(localStorage.getItem(name) || 'null');
        if (kept && kept.done && kept.glasses) entries = kept;
      } catch (_) {
        // Private windows throw, and a damaged entry is no reason to stop: go on with what is in hand.
      }
      return entries;
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
        return read().done[key] === true;
      },
      /** @param {string} key @param {boolean} done */
      setDone: function (key, done) {
        read();
        if (done) entries.done[key] = true;
        else delete entries.done[key];
        keep();
      },
      /** @param {string} key */
      glasses: function (key) {
        return read().glasses[key] || 0;
      },
      /** @param {string} key @param {number} count */
      setGlasses: function (key, count) {
        read().glasses[key] = count;
        keep();
      },
    };
  }

  /**
   * Forgets what was ticked in a plan.
   * @param {string} mark
   * @returns {boolean} whether nothing of it is left
   */
  function forget(mark) {
    try {
      localStorage.removeItem(nameOf(mark));
      return localStorage.getItem(nameOf(mark)) === null;
    } catch (_) {
      return true; // where the browser keeps nothing, nothing was kept
    }
  }

  daybefore.diary = { open: open, forget: forget };
})();

// @ts-check
// What this phone keeps of one plan, each thing under the plan's mark, so that two plans never mix.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  let prefix = '';
  /** @type {Record<string, any>} what could not be kept */
  let inHand = {};
  let over = false;

  /**
   * Opens the memory of one plan. Where the browser keeps nothing, it lasts as long as the page is open.
   * @param {string} mark
   */
  function open(mark) {
    prefix = 'daybefore:' + mark + ':';
  }

  /**
   * Read before each use: the same plan may be open twice, in a tab and under its icon, or in two languages.
   * @param {string} name
   * @returns {any} null if there is nothing
   */
  function get(name) {
    if (name in inHand) return inHand[name];
    try {
      return JSON.parse(localStorage.getItem(prefix + name) || 'null');
    } catch (_) {
      return null; // private windows throw, and a damaged entry is no reason to stop
    }
  }

  /** @param {string} name @param {any} value */
  function set(name, value) {
    inHand[name] = value;
    try {
      if (over) return;
      localStorage.setItem(prefix + name, JSON.stringify(value));
      delete inHand[name];
    } catch (_) {
      // It stays in hand.
    }
  }

  function names() {
    return Object.keys(localStorage).filter((name) => name.startsWith(prefix));
  }

  /**
   * Forgets all, and keeps nothing more for as long as this page is open.
   * @returns {boolean} whether nothing is left
   */
  function forget() {
    over = true;
    inHand = {};
    try {
      for (const name of names()) localStorage.removeItem(name);
      return !names().length;
    } catch (_) {
      return true; // where the browser keeps nothing, nothing was kept
    }
  }

  daybefore.memory = { open, get, set, forget };
})();

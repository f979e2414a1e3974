// @ts-check
// What the person ticked and counted. It stays on this phone and is no judgement: what is not ticked is unknown,
// not missed. All times are epoch minutes, so that neither midnight nor a clock change touches them.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const memory = daybefore.memory;

  /** @returns {Record<string, Record<string, any>>} */
  function read() {
    return Object.assign({ done: {}, glasses: {}, pauses: {}, began: {} }, memory.get('diary'));
  }

  /** @param {string} part @param {string} key @param {any} value */
  function keep(part, key, value) {
    const entries = read();
    entries[part][key] = value;
    memory.set('diary', entries);
  }

  /** What was counted of a step. @param {string} key @returns {Counted} */
  function counted(key) {
    const entries = read();
    return {
      times: entries.glasses[key] || [],
      pauses: entries.pauses[key] || [],
      began: entries.began[key] || 0,
      done: isDone(key),
      eased: Object.keys(entries.pauses).length > 0,
    };
  }

  /** @param {string} key */
  function isDone(key) {
    return !!read().done[key];
  }

  /** @param {string} key @param {boolean} done */
  function setDone(key, done) {
    keep('done', key, done);
  }

  /** One more glass. @param {string} key @param {number} now 0: when is not known */
  function drank(key, now) {
    keep('glasses', key, counted(key).times.concat(now));
  }

  /** Takes back the last glass, and no other. @param {string} key */
  function undo(key) {
    keep('glasses', key, counted(key).times.slice(0, -1));
  }

  /** Begins a pause, or ends the one that goes on. @param {string} key @param {number} now */
  function pause(key, now) {
    const pauses = counted(key).pauses;
    const last = pauses[pauses.length - 1];
    if (last && !last[1]) last[1] = now;
    else pauses.push([now, 0]);
    keep('pauses', key, pauses);
  }

  /** @param {string} key @param {number} when -1: not yet */
  function setBegan(key, when) {
    keep('began', key, when);
  }

  daybefore.diary = { isDone, setDone, counted, drank, undo, pause, setBegan };
})();

// @ts-check
// What a look into the bowl means at a moment: pure, from the answers, the moment and the plan's own times.
// It names sentences that stand on the page; the protocol's rows decide when, the unit decides what is done.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /**
   * What the three answers come to: true see-through, false not, null not told yet. One that is not is enough.
   * @param {Looked} looked
   */
  function isSeeThrough(looked) {
    if (looked.bottom === 'no' || looked.bits === 'yes' || looked.colour === 'brown') return false;
    return looked.bottom && looked.bits && looked.colour ? true : null;
  }

  /**
   * Whether a look says nothing about this moment: it was before the protocol's time, or by a clock that was wrong.
   * @param {Looked} looked @param {number} now @param {LookTimes} times
   */
  function isOld(looked, now, times) {
    return !looked.at || looked.at > now || (looked.at < times.counts && now >= times.counts);
  }

  /**
   * The sentences for what was answered, by name and in order, and whether it is a call.
   * @param {Looked} looked
   * @param {number} now epoch minutes
   * @param {LookTimes} times
   * @param {boolean} doubted whether the phone's clock cannot be trusted: then only the list on the page holds
   * @returns {{says: string[], call: boolean}}
   */
  function advice(looked, now, times, doubted) {
    const good = isSeeThrough(looked);
    /** @type {string[]} */
    let says = [];
    let call = false;
    if (doubted || now >= times.over || (!looked.nothing && good === null)) return { says, call };
    const old = isOld(looked, now, times);
    if (looked.nothing) {
      // Nothing has come yet. Where the protocol does not say how long that may be, the unit does.
      call = !times.by || now >= times.by;
      says = call ? ['by', 'wait', 'sick', 'belly'] : ['yet', 'by', 'sick', 'belly'];
    } else if (!old) {
      // Before the protocol's time what comes out does not count yet.
      const counts = now >= times.counts;
      const stopped = counts && times.stop && now >= times.stop;
      const dosed = counts || now >= times.dosed;
      call = counts && !good;
      if (call) says = ['call', 'until', now >= times.short ? 'come' : ''];
      else if (good) says = ['good', stopped ? '' : 'finish', dosed ? 'stop' : '', counts ? '' : 'again'];
      else says = [dosed ? '' : 'expected', 'again'];
    }
    says = says.filter(Boolean);
    return { says: old ? ['anew'].concat(says) : says, call };
  }

  /**
   * The answers after another one: a look from before the protocol's time is not mixed with one after it.
   * @param {Looked} looked
   * @param {string} question bottom, bits, colour or nothing
   * @param {string} answer given again, it is taken back
   * @param {number} now epoch minutes; 0 where the clock is in doubt
   * @param {LookTimes} times
   * @returns {Looked}
   */
  function answered(looked, question, answer, now, times) {
    const before = now && isOld(looked, now, times) ? {} : looked;
    /** @type {Looked} */
    const after = question === 'nothing' || before.nothing ? {} : Object.assign({}, before);
    if (before[question] === answer) delete after[question];
    else after[question] = answer;
    after.at = now;
    return after;
  }

  daybefore.clarity = { advice, answered };
})();

// @ts-check
// How a drinking session goes on: pure, from the plan's figures, what was counted, and the moment. It never proposes
// less time between glasses than the protocol's fastest, nor more than the hour allows; where neither ends in time it
// says to call. What is not counted is unknown: then it says nothing.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  // Common practice, no source: the plan's grid of five minutes is also how exactly people keep a time.
  const GRACE = 5; // minutes
  const HOUR = 60; // minutes
  const ENOUGH = 3; // glasses from which a person's own speed is reckoned
  const LEFT = 180; // minutes after the last glass from which it is no longer known whether the session goes on

  /**
   * The times of glasses as far as they can be trusted; 0: not known. A time before an earlier one, or ahead of the
   * present, was taken from a wrong clock.
   * @param {number[]} times @param {number} now
   */
  function trusted(times, now) {
    let last = 0;
    return times.map((time) => {
      if (!(time > 0) || time < last || time > now) return 0;
      last = time;
      return time;
    });
  }

  /** Minutes of a stretch that were pauses; a pause still going on ends now. @param {number[][]} pauses @param {number} since @param {number} until */
  function paused(pauses, since, until) {
    let sum = 0;
    for (const [from, to] of pauses) sum += Math.max(0, Math.min(until, to || until) - Math.max(since, from));
    return sum;
  }

  /**
   * Minutes from glass to glass at the person's own speed, pauses left out, or 0 where it is not known: the median of
   * the slopes between all pairs of counted glasses (Theil 1950, Sen 1968), of which up to 29 in 100 may be wrong.
   * Glasses counted closer together than half the fastest pace were counted afterwards: only the last of them is a
   * time at which so many were drunk. Of two middle slopes the slower one counts.
   * @param {number[]} times trusted @param {number[][]} pauses @param {number} fastest
   */
  function ownSpeed(times, pauses, fastest) {
    /** @type {number[][]} */
    const points = [];
    /** @type {number[]} */
    const slopes = [];
    times.forEach((time, index) => {
      if (!time) return;
      const before = points[points.length - 1];
      if (before && (time - before[1]) * 2 < fastest) points.pop();
      points.push([index + 1, time]);
    });
    points.forEach((one, place) => {
      for (const two of points.slice(place + 1)) {
        slopes.push((two[1] - one[1] - paused(pauses, one[1], two[1])) / (two[0] - one[0]));
      }
    });
    slopes.sort((one, two) => one - two);
    if (times.length < ENOUGH || !slopes.length) return 0;
    return Math.max(1, Math.ceil(slopes[Math.floor(slopes.length / 2)]));
  }

  /**
   * When the glasses that are left would be drunk, so many minutes apart, each in the first minute from then on at
   * which it keeps the hour's maximum.
   * @param {Session} session @param {number[]} times trusted @param {number[][]} drunk [time, millilitres]
   * @param {number} step @param {number} now @param {number} most 0: none
   * @returns {{next: number, end: number} | null} null: the hour never allows it
   */
  function ahead(session, times, drunk, step, now, most) {
    const all = drunk.slice();
    let next = 0;
    let time = times[times.length - 1];
    for (let glass = times.length; glass < session.glasses; glass++) {
      const ml = glass === session.glasses - 1 ? session.last : session.ml;
      if (most && ml > most) return null;
      time = Math.max(next ? 0 : now, time + step);
      while (most && all.reduce((sum, one) => sum + (one[0] + HOUR > time ? one[1] : 0), ml) > most) time++;
      next = next || time;
      all.push([time, ml]);
    }
    return { next, end: time };
  }

  /** By when a session must have ended. @param {Session} session @param {number[]} times trusted @param {number} began */
  function limitOf(session, times, began) {
    const limit = Math.min(session.by, session.quiet);
    const place = times.findIndex(Boolean);
    const known = times[place];
    if (!session.keeps || !(began > 0 || known)) return limit;
    // Who drank a glass had begun by then: earlier by that glass and those before it, as the careful side has it.
    const first = Math.max(Math.min(known, session.start), known - (place + 1) * session.minutes);
    return Math.min(limit, session.keeps + (began > 0 ? Math.min(began, known || began) : first));
  }

  /**
   * Whether to ask if the dose was begun: only where the answer changes what to do, that is where a dose begun now
   * would no longer end in time, or where the plan's own next step has come.
   * @param {Session} session @param {number} now
   */
  function asks(session, now) {
    // A dose of one glass is ticked, not counted.
    if (session.kind !== 'drink' || session.glasses < 2 || now < session.start) return false;
    const needs = session.glasses * session.minutes;
    return now >= session.start + needs || now + needs > Math.min(session.by, session.quiet);
  }

  /**
   * What to say about a session.
   *
   * count: only the count; ask: whether it was begun; not-yet: it was not; paused; jug: is it empty; next: the next
   * glass, nothing about speed; slow: next glass and forecast; tight: the forecast passes the limit, the proposed
   * pace keeps it; call.
   * @param {Session} session
   * @param {Counted} counted
   * @param {number} now
   * @param {boolean} doubted
   * @param {{most: number, steady: boolean}} plan
   * @param {number[][]} elsewhere the glasses of the other sessions; a time of 0 is not known
   * @returns {Said} next, end, by: epoch minutes, where they are said; every: minutes between the glasses proposed
   */
  function at(session, counted, now, doubted, plan, elsewhere) {
    const steady = plan.steady;
    const count = counted.times.length;
    const times = trusted(counted.times, now);
    const by = limitOf(session, times, counted.began);
    /** @param {string} say @param {Partial<Said>} [more] @returns {Said} */
    function said(say, more) {
      return Object.assign({ say, over: now > by }, more);
    }

    const quickest = Math.min(session.fastest, session.minutes);
    if (doubted) return said('count');
    if (!count) {
      if (isPaused(counted)) return said('paused');
      if (counted.began === -1) return said('not-yet');
      if (!counted.began) return said(asks(session, now) ? 'ask' : 'count');
      const end = counted.began + session.glasses * (steady ? session.minutes : quickest);
      return end > by ? said('call', { by }) : said('count');
    }
    if (count >= session.glasses) return said(session.kind === 'drink' ? 'jug' : 'count');
    if (!times[count - 1] || elsewhere.some((glass) => !(glass[0] > 0) || glass[0] > now)) {
      return said(now > by ? 'call' : 'count');
    }
    // A glass without a time was drunk by the time of the next one that has one.
    const drunk = elsewhere.slice();
    for (let glass = count - 1, time = 0; glass >= 0; glass--) {
      time = times[glass] || time;
      drunk.push([time, session.ml]);
    }
    const own = ownSpeed(times, counted.pauses, session.fastest);
    /** @param {number} step */
    const reckoned = (step) => ahead(session, times, drunk, step, now, plan.most);
    // After a pause no less time than before: neither than the plan's, nor than the person's own.
    const eased = counted.eased || counted.pauses.length;
    let step = eased ? Math.max(session.minutes, own) : session.minutes;
    const least = eased || steady ? step : quickest;
    let found = reckoned(step);
    while (step > least && !(found && found.end <= by)) found = reckoned(--step);
    const due = (counted.began > 0 ? counted.began : session.start) + (count + 1) * session.minutes + GRACE;
    const slow = now > due;
    const forecast = slow && own ? reckoned(Math.max(own, session.fastest)) : null;
    const end = forecast ? forecast.end : 0;
    if (!found || found.end > by || (slow && steady)) return said('call', { end, by });
    if (isPaused(counted)) return said('paused');
    const proposed = { next: found.next, every: step, now: found.next <= now };
    if (!slow) return said('next', proposed);
    if (end > by || step < session.minutes) return said('tight', Object.assign({ end, by }, proposed));
    return said('slow', Object.assign({ end }, proposed));
  }

  /** @param {Counted} entry */
  function isPaused(entry) {
    return entry.pauses.some((pause) => !pause[1]);
  }

  /**
   * The session that the card holds on to although the plan's time has gone on, as an index of plan.steps, or -1.
   * @param {Plan} plan @param {Counted[]} counted one for each step @param {number} due index of the step due by the plan
   * @param {number} now
   */
  function held(plan, counted, due, now) {
    const kind = due === -1 ? 'none' : plan.steps[due].kind;
    if ('stop-drinking leave arrive procedure watch'.includes(kind)) return -1;
    let found = -1;
    let ended = 0; // when the session before was drunk, where that was after its time
    let before = -HOUR; // when it was to end
    plan.steps.forEach((step, index) => {
      const session = step.pace;
      if (!session || now < step.start) return;
      const entry = counted[index];
      const close = step.end || step.start;
      const joined = step.start - before <= HOUR && step.kind === 'extra-fluid';
      const shifted = joined && ended > step.start + GRACE ? ended - step.start : 0;
      const last = Math.max(...trusted(entry.times, now), entry.began, 0);
      before = step.end || 0;
      ended = last;
      if (entry.done || plan.steps.some((one) => one.dose && one.start > close && one.start <= now)) return;
      if (!entry.times.length && entry.began <= 0) {
        // Nothing counted: either it has only moved on with the one before, or the answer changes what to do.
        // Not for long: who counts nothing, and wakes at night, must not find the evening's dose on the card.
        // The look into the bowl has its own hour, and is asked whatever was counted.
        const denied = entry.began === -1;
        if (kind === 'check' && !denied) return;
        const asked = now < close + (denied ? LEFT : HOUR) && (denied || asks(session, now));
        if (shifted && found === -1 ? now < before + shifted : asked) found = index;
        return;
      }
      // A whole count waits one glass longer, for the jug may not be empty; where only the start is known, the
      // session takes what the plan gives it.
      let waits = entry.times.length ? LEFT : session.glasses * session.minutes;
      if (entry.times.length >= session.glasses) waits = step.kind === 'drink' ? session.minutes : 0;
      if (now < last + waits || isPaused(entry)) found = index;
    });
    return found;
  }

  daybefore.pace = { at, held, ownSpeed };
})();

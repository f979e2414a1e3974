// @ts-check
// Writes the times that only the phone knows, as the build writes its own. Integers only: no Intl, no date parsing.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const NIGHT_FROM = 21;
  const NIGHT_UNTIL = 6;

  /**
   * The form of a counted text for a number, chosen by the table that the build made from CLDR.
   * @param {string[]} forms
   * @param {number} number
   * @param {string} plural one digit for each number from 0 to 200
   */
  function form(forms, number, plural) {
    return forms[/** @type {any} */ (plural[number % plural.length])] || forms[forms.length - 1];
  }

  /**
   * How long until a moment, as a text and its values; from two days on in days.
   * @param {number} minutes whole minutes, at least 1
   * @param {{left: string, leftMinutes: string, leftDays: string[]}} words
   * @param {string} plural
   * @returns {{text: string, values: Record<string, number>}}
   */
  function left(minutes, words, plural) {
    const hours = Math.floor(minutes / 60);
    const days = Math.floor(hours / 24);
    if (days > 1) return { text: form(words.leftDays, days, plural), values: { n: days } };
    return { text: hours ? words.left : words.leftMinutes, values: { hours, minutes: minutes % 60 } };
  }

  /**
   * A moment on the unit's clocks. The table of offsets is the plan's; before its first entry that one holds.
   * @param {number} minute epoch minutes
   * @param {{offsets: number[][]}} plan
   * @returns {{day: number, hour: number, minute: number, weekday: number}} day counts from 1 January 1970; Monday is 0
   */
  function wall(minute, plan) {
    let offset = plan.offsets[0][1];
    for (const entry of plan.offsets) if (entry[0] <= minute) offset = entry[1];
    const there = minute + offset;
    const day = Math.floor(there / 1440);
    const rest = there - day * 1440;
    return { day, hour: Math.floor(rest / 60), minute: rest % 60, weekday: (day + 3) % 7 };
  }

  /** @param {string} text @param {Record<string, string>} values */
  function filled(text, values) {
    return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
  }

  /** "18:30". @param {number} minute @param {{offsets: number[][]}} plan */
  function time(minute, plan) {
    const at = wall(minute, plan);
    return [at.hour, at.minute].map((number) => String(number).padStart(2, '0')).join(':');
  }

  /** "Tuesday 24 March". @param {number} minute @param {{offsets: number[][], times: Times}} plan */
  function date(minute, plan) {
    const at = wall(minute, plan);
    const there = new Date(at.day * 86400000); // read in UTC, which no phone's zone touches
    const dayMonth = filled(plan.times.months[there.getUTCMonth()], { day: /** @type {any} */ (there.getUTCDate()) });
    return filled(plan.times.date, { weekday: plan.times.weekdays[at.weekday], day_month: dayMonth });
  }

  /** @param {{hour: number}} at */
  function isNight(at) {
    return at.hour >= NIGHT_FROM || at.hour < NIGHT_UNTIL;
  }

  /**
   * "on Tuesday, 18:30"; from 21:00 to 06:00 "in the night from Tuesday to Wednesday, 02:15".
   * @param {number} minute @param {{offsets: number[][], times: Times}} plan
   */
  function when(minute, plan) {
    const at = wall(minute, plan);
    const evening = at.hour < NIGHT_UNTIL ? (at.weekday + 6) % 7 : at.weekday;
    const day = isNight(at) ? plan.times.inNight[evening] : plan.times.onDay[at.weekday];
    return filled(plan.times.when, { day, time: time(minute, plan) });
  }

  /** "Tuesday 24 March, 18:30". @param {number} minute @param {{offsets: number[][], times: Times}} plan */
  function dateTime(minute, plan) {
    return filled(plan.times.dateTime, { date: date(minute, plan), time: time(minute, plan) });
  }

  /**
   * Day, date and time: in another week the weekday alone says nothing, and a night has two days.
   * @param {number} minute @param {{offsets: number[][], times: Times}} plan
   */
  function full(minute, plan) {
    if (!isNight(wall(minute, plan))) return dateTime(minute, plan);
    return when(minute, plan) + ' (' + date(minute, plan) + ')';
  }

  /** @param {number} one @param {number} other @param {{offsets: number[][]}} plan */
  function isSameDay(one, other, plan) {
    return wall(one, plan).day === wall(other, plan).day;
  }

  daybefore.clock = { form, left, time, date, when, dateTime, full, isSameDay };
})();

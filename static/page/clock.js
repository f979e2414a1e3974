// @ts-check
// Writes the few times that only the phone knows: how long until the next step. Integers only, no Intl.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  /**
   * A text with its {placeholders} filled, as plain text for a status line.
   * @param {string} text
   * @param {Record<string, string | number>} values
   */
  function filled(text, values) {
    return text.replace(/\{([a-z0-9_]+)\}/g, function (whole, name) {
      return name in values ? String(values[name]) : whole;
    });
  }

  /**
   * The form of a counted text for a number, chosen by the table that the build made from CLDR.
   * @param {string[]} forms
   * @param {number} number
   * @param {string} plural one digit for each number from 0 to 200
   */
  function form(forms, number, plural) {
    return forms[Number(plural.charAt(number % plural.length))] || forms[forms.length - 1];
  }

  /**
   * How long until a moment, as a text and its values; from two days on in days.
   * @param {number} minutes whole minutes, at least 1
   * @param {{left: string, leftMinutes: string, leftDays: string[]}} words
   * @param {string} plural
   * @returns {{text: string, values: Record<string, number>}}
   */
  function left(minutes, words, plural) {
    if (minutes < 60) return { text: words.leftMinutes, values: { minutes: minutes } };
    if (minutes < 48 * 60) {
      return { text: words.left, values: { hours: Math.floor(minutes / 60), minutes: minutes % 60 } };
    }
    const days = Math.floor(minutes / (24 * 60));
    return { text: form(words.leftDays, days, plural), values: { n: days } };
  }

  daybefore.clock = { filled: filled, form: form, left: left };
})();

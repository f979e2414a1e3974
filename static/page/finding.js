// @ts-check
// Finds foods by what somebody types: pure, from the names on the page alone. It forgives capitals, accents, letters
// that are written in several ways, plurals, the order of words, and one slip in a word of five letters or more.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const MOST = 8;
  // Signs above and below letters (Latin, Hebrew, Arabic, nukta), the stretching line, joiners, isolates.
  const MARKS =
    /[\u0300-\u036f\u0591-\u05bd\u05bf-\u05c7\u0640\u064b-\u065f\u0670\u06d6-\u06ed\u093c\u09bc\u200b-\u200f\u202a-\u2069]/g;
  const COMMAS = /[,،、，;؛]/;
  // Space and the signs of ASCII, Latin-1, Hebrew, Arabic, general and Chinese punctuation.
  const GAPS = /[\s!-/:-@[-`{-\xbf\u05be،؛؟\u2010-\u2029\u3001-\u303f・]+/;
  // Scripts that put no gaps between words: Thai, Lao, Burmese, Khmer, kana, Chinese characters.
  const GAPLESS = /[\u0e00-\u109f\u1780-\u17ff\u3040-\u9fff]/;
  const NOT = 9;
  /** Letters that are written in several ways, each with how it is compared; and endings of plurals. @type {string[][]} */
  let language = [];

  /** @typedef {string[]} Word a word, and its other forms */

  /** The letters of a text as they are compared. @param {string} text */
  function plain(text) {
    const bare = text.toLowerCase().normalize('NFKD').replace(MARKS, '');
    return bare.replace(/[^ -~]/g, (letter) => (language[0].find((one) => one[0] === letter) || '-' + letter).slice(1));
  }

  /** A word, and what it is without its plural or the article that Arabic writes before it. @param {string} word */
  function forms(word) {
    const found = [word];
    for (const ending of language[1]) {
      const [end, instead] = ending.split('-');
      if (word.length > (end[1] ? 4 : 3) && word.endsWith(end)) found.push(word.slice(0, -end.length) + instead);
    }
    const bare = word.replace(/^([وبكف]?ال|لل)/, '');
    return bare.length > 1 && bare !== word ? found.concat(bare) : found;
  }

  /** Whether one letter was left out, put in, exchanged, or two changed places. @param {string} one @param {string} two */
  function oneSlip(one, two) {
    let at = 0;
    while (at < one.length && one[at] === two[at]) at++;
    const left = one.slice(at);
    const right = two.slice(at);
    const swapped = left.slice(0, 2) === right.charAt(1) + right.charAt(0) && left.slice(2) === right.slice(2);
    const rest = left.slice(1);
    return swapped || rest === right.slice(1) || rest === right || left === right.slice(1);
  }

  /**
   * How well a typed word fits one of a name; less is better.
   * @param {Word} typed
   * @param {Word} named a word of a name
   * @param {boolean} slips whether a slip of the finger is forgiven
   * @returns {number}
   */
  function fit(typed, named, slips) {
    const word = typed[0];
    const gapless = GAPLESS.test(word);
    /** @param {(one: string, two: string) => boolean} test */
    const any = (test) => typed.some((one) => named.some((two) => test(one, two)));
    if (word === named[0]) return 0;
    if (any((one, two) => one === two)) return 0.2;
    if ((word.length > 1 || gapless) && named.some((two) => two.startsWith(word))) return 2;
    if ((word.length > 3 || gapless) && named[0].includes(word)) return 3;
    const slipped = slips && any((one, two) => (
      one.length > 3 && two.length > 3 && one.length + two.length > 8 && oneSlip(one, two)
    ));
    return slipped ? 4 : NOT;
  }

  /**
   * How badly the typed words fit one name of a food; Infinity: a word is not in it.
   * @param {Word[]} typed
   * @param {Word[]} name
   * @param {boolean} slips
   */
  function distance(typed, name, slips) {
    if (joined(typed) === joined(name) && typed.length !== name.length) return 5;
    const left = name.slice();
    let sum = 0;
    let worst = 0;
    for (const word of typed) {
      const fits = left.map((other) => fit(word, other, slips));
      const best = Math.min(...fits, NOT);
      left.splice(fits.indexOf(best), 1);
      sum += best;
      worst = Math.max(worst, best);
    }
    return worst < NOT ? Math.floor(worst) * 1000 + (sum + left.length) * 10 : Infinity;
  }

  /** The words that tell something: one letter does not, where words have gaps. @param {Word[]} words */
  function telling(words) {
    return words.filter((word) => word[0].length > 1 || GAPLESS.test(word[0]));
  }

  /** @param {Word[]} words */
  function joined(words) {
    return words.map((word) => word[0]).join('');
  }

  /**
   * The foods of a page, made ready to be looked up.
   * @param {{name: string, find: string}[]} foods name as shown, and other names with commas between
   * @param {string} small words that do not count, with commas between
   * @param {string} letters of the page's language: generator/page/food_letters.py
   */
  function index(foods, small, letters) {
    language = letters.split('|').map((part) => part.split(' ').filter(Boolean));
    const little = small.split(COMMAS).map((word) => plain(word).trim());
    /** @param {string} phrase @returns {Word[]} */
    function ready(phrase) {
      const words = plain(phrase).split(GAPS).filter(Boolean);
      const counting = words.filter((word) => !little.includes(word));
      return (counting.length ? counting : words).map((word) => forms(word));
    }
    return {
      ready,
      foods: foods.map((food) => ({
        whole: joined(telling(ready(food.name))),
        // What stands after the first comma of a name tells what is not in it: “Tea, without milk”.
        names: [food.name.split(COMMAS)[0]].concat(food.find.split(COMMAS)).map(ready),
      })),
    };
  }

  /**
   * The foods that fit what was typed, best first, as places in the list; null: too little was typed to tell.
   * Every typed word has to be in one name of the food; a slip is forgiven only where nothing fits without.
   * @param {ReturnType<typeof index>} known
   * @param {string} text
   * @returns {number[] | null}
   */
  function find(known, text) {
    const typed = telling(known.ready(text));
    if (!typed.length) return null;
    for (const slips of [false, true]) {
      const found = known.foods.map(({ whole, names }, place) => {
        const far = names.map((name, number) => distance(typed, name, slips) + (number ? 1 : 0));
        return [whole === joined(typed) ? 0 : Math.min(...far), place];
      }).filter((one) => one[0] < Infinity).sort((one, two) => one[0] - two[0] || one[1] - two[1]);
      if (found.length) return found.slice(0, MOST).map((one) => one[1]);
    }
    return [];
  }

  daybefore.finding = { index, find };
})();

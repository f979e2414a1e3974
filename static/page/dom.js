// @ts-check
// Puts texts on the page. Values never take the direction of the words around them.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const LTR = 'time emergency volume n of hours minutes';

  /** @param {string} id @returns {HTMLElement} */
  function element(id) {
    return /** @type {HTMLElement} */ (document.getElementById(id));
  }

  /** All that a selector finds. @param {string} selector @returns {HTMLElement[]} */
  function all(selector) {
    return [.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(selector))];
  }

  /** @param {HTMLElement} target @param {string} tag @param {string | null} text */
  function append(target, tag, text) {
    const child = document.createElement(tag);
    if (tag === 'bdi') child.dir = document.documentElement.dir;
    child.textContent = text;
    target.appendChild(child);
    return child;
  }

  /**
   * Adds a text to an element, each value isolated from the direction of the words around it.
   * @param {HTMLElement} target
   * @param {string} text
   * @param {Record<string, string | number>} values
   */
  function write(target, text, values) {
    // Every second part is a name.
    text.split(/\{(\w+)\}/).forEach((part, index) => {
      if (index % 2) {
        const value = append(target, 'bdi', /** @type {any} */ (values[part]));
        if (LTR.includes(part)) value.dir = 'ltr';
      } else {
        target.appendChild(document.createTextNode(part));
      }
    });
    return target;
  }

  /** @param {string} id @param {string} text @param {Record<string, string | number>} values */
  function rewrite(id, text, values) {
    const target = element(id);
    target.textContent = '';
    return write(target, text, values);
  }

  /** @param {HTMLElement} target @param {string} look its class @param {string | null} text @param {() => void} act */
  function button(target, look, text, act) {
    const made = /** @type {HTMLButtonElement} */ (append(target, 'button', text));
    made.type = 'button';
    made.className = look;
    made.onclick = act;
    return made;
  }

  /** Adds what stands elsewhere on the page once more. @param {HTMLElement} target @param {Iterable<Node>} nodes */
  function repeat(target, nodes) {
    for (const node of nodes) target.appendChild(node.cloneNode(true));
  }

  /**
   * Whether something else is to be shown than before; if so, the place is emptied. What somebody is just pressing, or
   * hears read out, must stay.
   * @param {HTMLElement} target
   * @param {string} shown names it
   */
  function isAnother(target, shown) {
    if (target.dataset.shown === shown) return false;
    target.dataset.shown = shown;
    target.textContent = '';
    return true;
  }

  /** @param {string} id @param {() => void} act */
  function onPress(id, act) {
    element(id).onclick = act;
  }

  /** SVG elements know no property for it in old browsers. @param {string} id @param {any} shown */
  function show(id, shown) {
    if (shown) element(id).removeAttribute('hidden');
    else element(id).setAttribute('hidden', '');
  }

  /** Makes something pressed or open, or not. @param {Element} target @param {string} what @param {boolean} so */
  function mark(target, what, so) {
    target.setAttribute('aria-' + what, /** @type {any} */ (so));
  }

  /** What a voice reads out now. @param {string | null} text */
  function say(text) {
    element('spoken').textContent = text;
  }

  /** The minute by the phone's clock, since 1970. */
  function minute() {
    return Math.floor(Date.now() / 60000);
  }

  /** Does something on waking, and every so often. @param {() => void} act @param {number} every milliseconds */
  function onWake(act, every) {
    setInterval(act, every);
    for (const name of ['pageshow', 'focus', 'online']) window.addEventListener(name, act);
    document.addEventListener('visibilitychange', act);
  }

  /** Whether this document is a copy in one file, which cannot change. */
  const isCopy = document.documentElement.hasAttribute('data-copy');

  daybefore.dom = {
    element, all, append, write, rewrite, button, repeat, isAnother, onPress, show, mark, say, minute, onWake, isCopy,
  };
})();

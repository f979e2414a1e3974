// @ts-check
// Before you start: the reasons to call first stand in the place of "now" until the reader says that none is true.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const memory = daybefore.memory;
  const plan = daybefore.block.plan;
  const dom = daybefore.dom;
  const element = dom.element;

  /**
   * Asks once for each medicine; what a reader answered about one says nothing about another.
   * @param {() => void} onAnswer told when the reader has said that none is true
   */
  function start(onAnswer) {
    dom.onPress('start-none', () => {
      memory.set('start', plan.medicine);
      onAnswer();
      element('now-heading').focus();
    });
    dom.onPress('start-one', () => {
      dom.show('start-called', true);
      dom.show('start-one', false);
      element('start-none').focus();
    });
  }

  /**
   * Nobody is asked whether to start what lies behind, if that is known.
   * @param {number} now epoch minutes
   * @param {boolean} doubted whether the phone's clock cannot be trusted
   */
  function isOpen(now, doubted) {
    return memory.get('start') !== plan.medicine && (doubted || now < plan.procedure);
  }

  /** The list is moved, not copied: it is read once. @param {boolean} open */
  function show(open) {
    if (open !== element('start-now').hidden) return;
    dom.show('start-now', open);
    if (open) element('start-place').appendChild(element('start-list'));
    else element('start-heading').after(element('start-list'));
  }

  daybefore.starting = { start, isOpen, show };
})();

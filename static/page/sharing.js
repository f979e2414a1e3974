// @ts-check
// The link for a companion: sent by the phone's own share sheet, or copied, else pressed by hand.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const dom = daybefore.dom;

  /**
   * Offers to copy an address. Windows of some apps have the call and refuse it.
   * @param {string} id the button @param {string} url @param {string} done what says that it is copied
   */
  function offerCopy(id, url, done) {
    dom.show(id, navigator.clipboard);
    dom.onPress(id, () => {
      navigator.clipboard.writeText(url).then(() => dom.show(done, true), () => dom.show(id, false));
    });
  }

  /** The line that says how to copy by hand always stays. */
  function start() {
    const url = /** @type {HTMLAnchorElement} */ (dom.element('link')).href;
    dom.show('share', navigator.share);
    offerCopy('share-copy', url, 'shared');
    dom.onPress('share', () => {
      navigator.share({ url }).catch(() => {}); // closed, or refused: the link can be copied
    });
  }

  daybefore.sharing = { start, offerCopy };
})();

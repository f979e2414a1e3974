// @ts-check
/** Looks once a second whether the words have been saved anew, and shows them. */
(function () {
  'use strict';

  const own = /** @type {HTMLScriptElement} */ (document.currentScript).dataset.version;

  async function look() {
    try {
      const response = await fetch('/version', { cache: 'no-store' });
      if (response.ok && (await response.text()) !== own) location.reload();
    } catch (error) {
      // The preview was stopped; the page stays as it is.
    }
  }

  setInterval(look, 1000);
})();

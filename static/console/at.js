// Sets the clock of a patient's page to a chosen moment, and answers what the patient was asked at the first opening.
(function () {
  'use strict';
  const own = document.currentScript;
  const ahead = Number(own.getAttribute('data-at')) - Date.now();
  const offset = Number(own.getAttribute('data-offset'));
  const now = Date.now.bind(Date);
  Date.now = function () { return now() + ahead; };
  Date.prototype.getTimezoneOffset = function () { return -offset; };
  window.addEventListener('load', function () {
    for (const name of ['first-yes', 'start-none']) {
      const button = document.getElementById(name);
      if (button) button.click();
    }
    window.scrollTo(0, 0);
  });
})();

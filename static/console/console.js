// Helps at the desk; every page works without it.
(function () {
  'use strict';
  // Copy a text that stands on the page.
  document.querySelectorAll('[data-copy]').forEach(function (button) {
    const source = document.getElementById(button.getAttribute('data-copy'));
    if (!source || !navigator.clipboard) return;
    const words = button.textContent;
    button.hidden = false;
    button.addEventListener('click', function () {
      navigator.clipboard.writeText(source.value || source.textContent).then(function () {
        button.textContent = 'Copied';
        window.setTimeout(function () { button.textContent = words; }, 2000);
      });
    });
  });
  // Copy a text and say so, in one press; without a clipboard the button only says so.
  document.querySelectorAll('[data-copies]').forEach(function (button) {
    const source = document.getElementById(button.getAttribute('data-copies'));
    if (!source || !navigator.clipboard) return;
    let copied = false;
    button.textContent = button.getAttribute('data-words');
    button.addEventListener('click', function (event) {
      if (copied) return;
      event.preventDefault();
      navigator.clipboard.writeText(source.value).then(function () {
        copied = true;
        button.click();
      }, function () {
        source.select();
        button.textContent = 'Not copied: copy it by hand, then press here';
        copied = true;
      });
    });
  });
  // After a timetable was asked for, go to it; after something was not done, to why.
  const target = document.getElementById('stopped') || document.getElementById('plan');
  if (target && document.querySelector('form#booking')) target.scrollIntoView();
  // One press sends a form once.
  document.addEventListener('submit', function (event) {
    const form = event.target;
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = 'yes';
    window.setTimeout(function () { delete form.dataset.sent; }, 5000);
  });
})();

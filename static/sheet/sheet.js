// @ts-check
// The answers of a sheet as a CSV file, made and saved in the browser: nothing is sent anywhere.
(function () {
  'use strict';

  /** @param {string} id @returns {HTMLElement} */
  function element(id) {
    const found = document.getElementById(id);
    if (!found) throw new Error('no element ' + id);
    return found;
  }

  /** @type {{ file: string, head: string[][], columns: string[], rows: string[][], checks: string[] }} */
  const sheet = JSON.parse(element('sheet').textContent || '');
  const told = element('told');

  /** @param {string} id @returns {string} */
  function written(id) {
    const field = /** @type {HTMLInputElement | HTMLTextAreaElement} */ (element(id));
    return field.value.trim();
  }

  /** @param {string} nr @returns {string} */
  function verdict(nr) {
    const chosen = /** @type {HTMLInputElement | null} */ (
      document.querySelector('input[name="verdict-' + nr + '"]:checked')
    );
    return chosen ? chosen.value : '';
  }

  // A cell that a spreadsheet would take for a formula gets an apostrophe before it, as the build writes them.
  /** @param {string} text @returns {string} */
  function guarded(text) {
    return /^\s*'*[=+\-@]/.test(text) ? "'" + text : text;
  }

  /** @param {string[]} cells @returns {string} */
  function line(cells) {
    return cells.map(function (cell) { return '"' + cell.replace(/"/g, '""') + '"'; }).join(',');
  }

  /** @returns {string} */
  function answers() {
    const head = sheet.head.map(function (pair) {
      const filled = ['reviewer', 'qualification', 'date'].indexOf(pair[0]) >= 0;
      return [pair[0], filled ? guarded(written(pair[0])) : pair[1]];
    });
    const rows = sheet.rows.map(function (cells, index) {
      const nr = cells[0];
      const own = [verdict(nr), guarded(written('proposed-' + nr)), guarded(written('note-' + nr))];
      return cells.concat(own, [sheet.checks[index]]);
    });
    return '\uFEFF' + head.concat([sheet.columns], rows).map(line).join('\r\n') + '\r\n';
  }

  /** @returns {string} what is still missing, or "" */
  function lacks() {
    if (!/^[a-z0-9-]*[0-9][a-z0-9-]*$/i.test(written('reviewer'))) return 'Fill in your code first: letters, a digit.';
    if (!written('date')) return 'Fill in the date first.';
    return '';
  }

  element('save').addEventListener('click', function () {
    told.textContent = lacks();
    if (told.textContent) return;
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([answers()], { type: 'text/csv' }));
    link.download = sheet.file;
    document.body.appendChild(link);
    link.click();
    link.remove();
    const open = sheet.rows.filter(function (cells) { return !verdict(cells[0]); }).length;
    told.textContent = 'Saved as ' + sheet.file + '. Send that file back.' +
      (open ? ' Without an answer: ' + open + '.' : '');
  });

  // On paper nothing can be opened: the English stands there from the start.
  window.addEventListener('beforeprint', function () {
    document.querySelectorAll('details.english').forEach(function (part) { part.setAttribute('open', ''); });
  });

  // The translation put back into English is shown only to somebody who has judged already.
  document.addEventListener('change', function (event) {
    const row = /** @type {HTMLElement} */ (event.target).closest('.row');
    const back = row && row.querySelector('.back');
    if (back) back.removeAttribute('hidden');
  });
})();

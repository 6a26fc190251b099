// The one script of the page: sends what is done, and takes over what has become new without losing the place. Nothing is
// reckoned here; every figure comes from the program.
(() => {
  'use strict';
  const trouble = (words) => {
    const line = document.getElementById('trouble');
    line.textContent = words;
    line.hidden = words === '';
  };
  const GONE = 'longpoint does not answer: it was stopped, or the machine slept. Start it again; all that was kept is in the files.';

  // Fields that hold what is not sent yet: they are left alone.
  const unsent = new Set();

  const FIELDS = 'input, select, textarea';
  const isField = (element) => element.matches(FIELDS);
  const isTicked = (field) => field.type === 'checkbox' || field.type === 'radio';
  // Whether what is in a field is not to be touched: blanks at the ends are not kept, but more may be typed behind them.
  const isKept = (old, fresh) => unsent.has(old)
    || (old === document.activeElement && !isTicked(old) && old.value.trim() === fresh.value);
  const takeValue = (old, fresh) => {
    if (isKept(old, fresh)) return;
    if (isTicked(old)) old.checked = fresh.checked;
    else if (old.value !== fresh.value) old.value = fresh.value;
  };

  // Makes `old` like `fresh`, changing only what differs.
  const takeOver = (old, fresh) => {
    if (old.isEqualNode(fresh)) {
      // The same markup; what was typed or ticked since is in no attribute.
      if (isField(old)) takeValue(old, fresh);
      const fields = fresh.querySelectorAll(FIELDS);
      old.querySelectorAll(FIELDS).forEach((field, at) => takeValue(field, fields[at]));
      return;
    }
    for (const { name } of [...old.attributes]) {
      if (!fresh.hasAttribute(name) && name !== 'data-settled' && !(name === 'open' && old.localName === 'details')) old.removeAttribute(name);
    }
    for (const { name, value } of fresh.attributes) {
      if (name === 'open' && old.localName === 'details') continue;
      if (old.getAttribute(name) !== value) old.setAttribute(name, value);
    }
    if (isField(old)) {
      if (isKept(old, fresh)) return;
      // The choices of a list come first.
      if (old.localName !== 'select') takeValue(old, fresh);
    }
    const named = new Map();
    for (const child of old.children) if (child.id) named.set(child.id, child);
    let at = old.firstChild;
    for (const child of [...fresh.childNodes]) {
      let same = null;
      if (child.id) same = named.get(child.id) || null;
      else if (at && at.nodeType === child.nodeType && at.nodeName === child.nodeName && !at.id) same = at;
      if (same && same.nodeName !== child.nodeName) same = null;
      if (!same) {
        old.insertBefore(document.importNode(child, true), at);
        continue;
      }
      if (same === at) at = at.nextSibling;
      else old.insertBefore(same, at);
      if (same.nodeType === Node.ELEMENT_NODE) takeOver(same, child);
      else if (same.data !== child.data) same.data = child.data;
    }
    while (at) {
      const next = at.nextSibling;
      at.remove();
      at = next;
    }
    if (old.localName === 'select' && old.value !== fresh.value) old.value = fresh.value;
  };

  const here = () => location.pathname + location.search;
  const renew = async () => {
    const told = await fetch(here());
    takePage(await told.text());
  };
  const takePage = (text) => {
    const fresh = new DOMParser().parseFromString(text, 'text/html');
    if (fresh.body.dataset.news === undefined) {
      trouble(fresh.body.textContent.trim() || GONE);
      return;
    }
    const said = document.getElementById('trouble');
    fresh.getElementById('trouble').textContent = said.textContent;
    fresh.getElementById('trouble').hidden = said.hidden;
    document.title = fresh.title;
    takeOver(document.body, fresh.body);
    settle();
  };

  // What is looked at keeps its address, also when something else comes first in a list; and what is wide on a wide screen is open.
  const settle = () => {
    const shown = document.querySelector('[data-here]');
    const address = shown && shown.dataset.here;
    if (address && address !== here()) history.replaceState(null, '', address);
    for (const fold of document.querySelectorAll('details[data-wide]:not([data-settled])')) {
      fold.dataset.settled = '';
      fold.open = matchMedia('(min-width: 78.01rem)').matches;
    }
  };
  settle();

  // One thing after the other, in the order in which it was done.
  let line = Promise.resolve();
  const inLine = (step) => {
    line = line.then(step).catch(() => trouble(GONE));
    return line;
  };
  const send = (asked) => inLine(async () => {
    const deed = typeof asked === 'function' ? asked() : asked;
    const body = JSON.stringify({ version: Number(document.body.dataset.version), deed, at: here() });
    // Small ones arrive even if the window is closed before they are answered.
    const keepalive = body.length < 60000;
    const told = await fetch('/do', { method: 'POST', headers: { 'content-type': 'application/json' }, body, keepalive });
    const said = await told.json();
    trouble(said.fault || '');
    if (said.closed) {
      document.body.textContent = 'longpoint is stopped; all that was done is in the files. This window may be closed.';
      over = true;
      return;
    }
    if (said.page) takePage(said.page);
    else await renew();
    return !said.fault;
  });

  const inner = (deed) => deed[Object.keys(deed)[0]];
  // The name of a field is the way to its value: `answers.boards.0.length`.
  const put = (into, [head, ...rest], value) => {
    if (rest.length === 0) {
      into[head] = value;
      return;
    }
    if (into[head] === undefined) into[head] = /^\d+$/.test(rest[0]) ? [] : {};
    put(into[head], rest, value);
  };
  // A field that waits for its turn is sent with what is in it then, so that fast typing is one change.
  const inTurn = new Set();
  const sendField = (field) => {
    clearTimeout(waits.get(field));
    waits.delete(field);
    if (inTurn.has(field)) return;
    inTurn.add(field);
    let value;
    send(() => {
      inTurn.delete(field);
      value = field.value;
      const deed = JSON.parse(field.dataset.do);
      if (field.dataset.as) inner(deed)[field.dataset.as] = field.type === 'checkbox' ? field.checked : value;
      return deed;
    }).then((isDone) => {
      // What was refused is sent once more when the field is left.
      if (isDone && field.value === value) unsent.delete(field);
    });
  };
  const waits = new Map();
  // What is typed is sent once it has been still for so many milliseconds.
  const STILL = 250;
  const SOON = 0;
  document.addEventListener('input', (event) => {
    const field = event.target;
    if (field.form && field.form.dataset.do) unsent.add(field);
    if (!field.dataset.do || field.type === 'checkbox' || field.type === 'radio') return;
    unsent.add(field);
    clearTimeout(waits.get(field));
    // A text that was emptied, or that adds a column, is sent when the field is left.
    if ('late' in field.dataset || ('soon' in field.dataset && field.value === '')) waits.delete(field);
    else waits.set(field, setTimeout(() => sendField(field), 'soon' in field.dataset ? SOON : STILL));
  });
  document.addEventListener('change', (event) => {
    const field = event.target;
    if (field.dataset.do && (waits.has(field) || unsent.has(field) || field.type === 'checkbox' || field.type === 'radio')) sendField(field);
  });
  document.addEventListener('click', (event) => {
    const button = event.target.closest('button[data-do]');
    if (!button) return;
    send(JSON.parse(button.dataset.do));
    if (button.dataset.then) inLine(() => goTo(button.dataset.then));
  });
  document.addEventListener('submit', (event) => {
    const form = event.target;
    event.preventDefault();
    if (!form.dataset.do) return;
    const deed = JSON.parse(form.dataset.do);
    for (const field of form.elements) {
      if (!field.name || (field.type === 'radio' && !field.checked)) continue;
      put(inner(deed), field.name.split('.'), field.type === 'checkbox' ? field.checked : field.value);
    }
    send(deed).then((isDone) => {
      if (!isDone) return;
      for (const field of form.elements) unsent.delete(field);
      if (form.dataset.then) inLine(() => goTo(form.dataset.then));
    });
  });
  // A window that is closed takes what is not sent yet along.
  addEventListener('pagehide', () => {
    for (const field of [...waits.keys()]) sendField(field);
  });

  // On the desk: the row in which one types is the one that is looked at.
  const goTo = async (address) => {
    if (address === here()) return;
    history.replaceState(null, '', address);
    await renew();
  };
  document.addEventListener('focusin', (event) => {
    const row = event.target.closest('[data-at]');
    if (row && row.dataset.at !== here()) inLine(() => goTo(row.dataset.at));
  });
  // Several cells are pasted as a list, beginning where one is.
  document.addEventListener('paste', (event) => {
    const field = event.target;
    const text = event.clipboardData.getData('text/plain');
    if (!field.dataset || !field.dataset.do || !field.closest('.typed table') || !/[\t\n]./.test(text)) return;
    event.preventDefault();
    const { table, row, column } = inner(JSON.parse(field.dataset.do));
    send({ desk: { do: 'paste', table, row, column, text } });
  });
  const rowsOf = (row) => [...row.parentElement.querySelectorAll(':scope > tr.row:not(.new)')];
  const moveRow = (rows, from, to) => {
    const [, table] = /^t(\d+)-r\d+$/.exec(rows[from].id);
    send({ desk: { do: 'move-row', table: Number(table), row: from, to } });
    inLine(() => goTo(rows[to].dataset.at));
  };
  // Up and down by keys: from row to row, and with Alt the row itself.
  document.addEventListener('keydown', (event) => {
    const place = /^(t\d+)-r(\d+)-(c\d+)$/.exec(event.target.id);
    const way = { ArrowUp: -1, ArrowDown: 1, Enter: 1 }[event.key];
    if (!place || !way || event.ctrlKey || event.metaKey || event.isComposing) return;
    const [, table, row, column] = place;
    const next = () => document.getElementById(`${table}-r${Number(row) + way}-${column}`);
    if (event.altKey) {
      const own = event.target.closest('tr');
      const rows = rowsOf(own);
      const to = rows.indexOf(own) + way;
      if (event.key === 'Enter' || !rows.includes(own) || !rows[to]) return;
      event.preventDefault();
      moveRow(rows, rows.indexOf(own), to);
      // Whoever goes on to something else meanwhile stays there.
      inLine(() => { if (next() && document.activeElement === event.target) next().focus(); });
    } else if (event.target.localName === 'input' && next()) {
      event.preventDefault();
      next().focus();
      next().select();
    }
  });

  // A row is taken by its grip and put down between two others; the keys above do the same.
  let drag = null;
  const dragTo = (y) => {
    // Behind all whose middle lies above.
    const others = drag.rows.filter((row) => row !== drag.row);
    const middle = (row) => { const box = row.getBoundingClientRect(); return (box.top + box.bottom) / 2; };
    drag.to = others.filter((row) => middle(row) < y).length;
    for (const row of others) row.classList.remove('drop-before', 'drop-behind');
    if (drag.to !== drag.from) {
      if (drag.to < others.length) others[drag.to].classList.add('drop-before');
      else others[drag.to - 1].classList.add('drop-behind');
    }
  };
  const dragEnd = (isDone) => {
    const { rows, from, to } = drag;
    drag = null;
    for (const one of rows) one.classList.remove('dragged', 'drop-before', 'drop-behind');
    if (isDone && to !== from) moveRow(rows, from, to);
  };
  document.addEventListener('pointerdown', (event) => {
    const grip = event.target.closest('.grip');
    if (!grip || event.button !== 0) return;
    event.preventDefault();
    const row = grip.closest('tr');
    const rows = rowsOf(row);
    drag = { row, rows, from: rows.indexOf(row), to: rows.indexOf(row) };
    row.classList.add('dragged');
    grip.setPointerCapture(event.pointerId);
  });
  document.addEventListener('pointermove', (event) => {
    if (drag) dragTo(event.clientY);
  });
  document.addEventListener('pointerup', () => { if (drag) dragEnd(true); });
  document.addEventListener('pointercancel', () => { if (drag) dragEnd(false); });
  document.addEventListener('keydown', (event) => { if (drag && event.key === 'Escape') dragEnd(false); });

  // What others do, and what is found, comes by itself.
  let over = false;
  const listen = async () => {
    while (!over) {
      try {
        const told = await fetch('/news?since=' + document.body.dataset.news);
        if (told.ok) {
          const news = await told.text();
          if (news !== document.body.dataset.news && !over) await inLine(renew);
          continue;
        }
        if (told.status === 403) {
          trouble(GONE);
          return;
        }
      } catch {
        if (!over) trouble(GONE);
      }
      await new Promise((done) => setTimeout(done, 2000));
    }
  };
  listen();
})();

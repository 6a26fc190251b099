// Remembers what was ticked. The page is whole without it: nothing is shown, hidden or reckoned here but the count of ticks.
(() => {
  'use strict';
  const key = 'longpoint ' + document.body.dataset.plan;
  const count = document.getElementById('done');
  const boxes = new Map();
  for (const box of document.querySelectorAll('input[data-tick]')) {
    const name = box.dataset.tick;
    boxes.set(name, [...(boxes.get(name) || []), box]);
  }
  let ticked = new Set();
  const recall = (text) => {
    try {
      ticked = new Set(JSON.parse(text || '[]').filter((name) => boxes.has(name)));
    } catch {
      ticked = new Set();
    }
    for (const [name, same] of boxes) {
      for (const box of same) box.checked = ticked.has(name);
    }
    tell();
  };
  const tell = () => {
    const cuts = [...boxes.keys()].filter((name) => name.startsWith('cut '));
    const made = cuts.filter((name) => ticked.has(name)).length;
    count.textContent = cuts.length > 0 ? made + ' of ' + cuts.length + ' cut' : '';
  };
  document.addEventListener('change', (event) => {
    const name = event.target.dataset.tick;
    if (name === undefined) return;
    if (event.target.checked) ticked.add(name);
    else ticked.delete(name);
    for (const box of boxes.get(name)) box.checked = event.target.checked;
    try {
      localStorage.setItem(key, JSON.stringify([...ticked]));
    } catch {
      // A browser that keeps nothing: the ticks last as long as the page.
    }
    tell();
  });
  // The same page in another window.
  addEventListener('storage', (event) => {
    if (event.key === key) recall(event.newValue);
  });
  let kept = null;
  try {
    kept = localStorage.getItem(key);
  } catch {
    // As above.
  }
  recall(kept);
})();

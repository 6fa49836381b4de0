'use strict';
(function () {
  const roll = document.getElementById('roll');
  const name = document.getElementById('name');
  if (!roll || !name) { return; }
  document.documentElement.classList.add('scripted');
  const whole = roll.getAttribute('viewBox').split(' ').map(Number);
  const CLOSEST = 60; // so many times larger than the whole roll, at most
  let view = whole.slice();

  // --- zoom and pan: only the viewBox changes ---

  function show() {
    for (const i of [0, 1]) {
      view[i] = Math.min(Math.max(view[i], whole[i]), whole[i] + whole[i + 2] - view[i + 2]);
    }
    roll.setAttribute('viewBox', view.map(function (v) { return v.toFixed(3); }).join(' '));
  }

  // The place on the roll under a place on the screen.
  function under(x, y) {
    return new DOMPoint(x, y).matrixTransform(roll.getScreenCTM().inverse());
  }

  function zoom(factor, at) {
    const most = Math.min(factor, CLOSEST * view[2] / whole[2]);
    const least = Math.max(most, view[2] / whole[2]);
    view = [at.x - (at.x - view[0]) / least, at.y - (at.y - view[1]) / least, view[2] / least, view[3] / least];
    show();
  }

  function middle() {
    return { x: view[0] + view[2] / 2, y: view[1] + view[3] / 2 };
  }

  function everything() {
    view = whole.slice();
    show();
  }

  const buttons = { closer: function () { zoom(1.5, middle()); }, farther: function () { zoom(1 / 1.5, middle()); }, whole: everything, unlit: lightOff };
  for (const id of Object.keys(buttons)) {
    document.getElementById(id).addEventListener('click', buttons[id]);
  }

  roll.addEventListener('wheel', function (e) {
    e.preventDefault();
    zoom(Math.exp(-0.0015 * e.deltaY * (e.deltaMode === 1 ? 30 : 1)), under(e.clientX, e.clientY));
  }, { passive: false });

  const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  roll.addEventListener('keydown', function (e) {
    if (e.key === '+' || e.key === '=') { zoom(1.5, middle()); }
    else if (e.key === '-') { zoom(1 / 1.5, middle()); }
    else if (e.key === '0') { everything(); }
    else if (step[e.key]) {
      view[0] += 0.1 * view[2] * step[e.key][0];
      view[1] += 0.1 * view[3] * step[e.key][1];
      show();
    } else { return; }
    e.preventDefault();
  });

  // From the whole roll so near that a piece takes about a third of the window.
  function approach(piece) {
    if (!piece) { return; }
    const all = roll.getBoundingClientRect(), box = piece.getBoundingClientRect();
    const at = under(box.left + box.width / 2, box.top + box.height / 2);
    zoom(Math.max(1, 0.33 * Math.min(all.width / Math.max(box.width, 1), all.height / Math.max(box.height, 1))), at);
    view[0] = at.x - view[2] / 2;
    view[1] = at.y - view[3] / 2;
    show();
    tell({ target: piece, clientX: all.left, clientY: all.top });
  }

  // --- fingers and mouse ---

  const held = new Map();
  let moved = 0;

  roll.addEventListener('pointerdown', function (e) {
    held.set(e.pointerId, { x: e.clientX, y: e.clientY });
    if (held.size === 1) { moved = 0; }
  });

  roll.addEventListener('pointermove', function (e) {
    tell(e);
    const last = held.get(e.pointerId);
    if (!last) { return; }
    const before = spread();
    const from = under(last.x, last.y), to = under(e.clientX, e.clientY);
    moved += Math.hypot(e.clientX - last.x, e.clientY - last.y);
    held.set(e.pointerId, { x: e.clientX, y: e.clientY });
    if (moved < 5) { return; }
    // Only now, so that a click still reaches the piece it meant.
    if (!roll.hasPointerCapture(e.pointerId)) { roll.setPointerCapture(e.pointerId); }
    roll.classList.add('dragged');
    if (held.size === 1) {
      view[0] -= to.x - from.x;
      view[1] -= to.y - from.y;
      show();
    } else if (held.size === 2 && before > 0) {
      const both = Array.from(held.values());
      zoom(spread() / before, under((both[0].x + both[1].x) / 2, (both[0].y + both[1].y) / 2));
    }
  });

  function spread() {
    const both = Array.from(held.values());
    return both.length === 2 ? Math.hypot(both[0].x - both[1].x, both[0].y - both[1].y) : 0;
  }

  function release(e) {
    held.delete(e.pointerId);
    if (held.size === 0) { roll.classList.remove('dragged'); }
  }
  roll.addEventListener('pointerup', release);
  roll.addEventListener('pointercancel', release);
  roll.addEventListener('pointerleave', function (e) { release(e); name.hidden = true; });

  // --- names ---

  function tell(e) {
    const piece = e.target.closest ? e.target.closest('.piece') : null;
    name.hidden = !piece;
    if (!piece) { return; }
    name.textContent = piece.dataset.name;
    const frame = roll.parentElement.getBoundingClientRect();
    const x = Math.min(e.clientX - frame.left + 14, frame.width - name.offsetWidth);
    const y = e.clientY - frame.top + 18 + name.offsetHeight > frame.height ? e.clientY - frame.top - name.offsetHeight - 8 : e.clientY - frame.top + 18;
    name.style.transform = 'translate(' + Math.max(x, 0) + 'px,' + Math.max(y, 0) + 'px)';
  }

  // --- light ---

  const entries = Array.from(document.querySelectorAll('.entry'));

  function light(wanted) {
    let any = false;
    for (const piece of roll.querySelectorAll('.piece')) {
      const on = wanted(piece);
      piece.classList.toggle('on', on);
      any = any || on;
    }
    roll.classList.toggle('lit', any);
  }

  function press(entry) {
    for (const b of entries) { b.setAttribute('aria-pressed', String(b.dataset.entry === entry)); }
  }

  function lightOff() {
    press(null);
    light(function () { return false; });
  }

  function lightEntry(entry) {
    const pressed = entries.some(function (b) { return b.dataset.entry === entry && b.getAttribute('aria-pressed') === 'true'; });
    if (pressed) { lightOff(); return; }
    press(entry);
    light(function (piece) { return piece.dataset.entry === entry; });
  }

  for (const b of entries) {
    b.addEventListener('click', function () { lightEntry(b.dataset.entry); });
  }

  roll.addEventListener('click', function (e) {
    if (moved >= 5) { return; }
    const piece = e.target.closest('.piece');
    if (piece) { lightEntry(piece.dataset.entry); } else { lightOff(); }
    tell(e); // a finger does not hover
  });

  for (const b of document.querySelectorAll('.show')) {
    b.addEventListener('click', function () {
      press(null);
      light(function (piece) { return piece.dataset.number === b.dataset.number; });
      everything();
      roll.scrollIntoView({ block: 'center' });
      approach(roll.querySelector('.piece.on'));
    });
  }

  // Paper shows all of it.
  window.addEventListener('beforeprint', function () { everything(); lightOff(); });
}());

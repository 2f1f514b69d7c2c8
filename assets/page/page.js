// The page around the bench: it fetches and starts the program with a progress bar, and keeps the bench in words for
// assistive tools (and for tests, which find every control with its place in CSS pixels there).
'use strict';

(() => {
  const $ = (id) => document.getElementById(id);
  const loading = $('loading'), text = $('loading-text'), bar = $('loading-bar'), again = $('loading-again');

  function fail(message) {
    loading.hidden = false;
    text.textContent = message;
    bar.hidden = true;
    again.hidden = false;
  }
  again.addEventListener('click', () => location.reload());

  // Frames on demand. The program's engine asks for a frame after every frame; while the bench is at rest the request is
  // kept until something happens, so that an idle page costs next to nothing.
  const frame = window.requestAnimationFrame.bind(window);
  let asleep = false, kept = [];
  window.requestAnimationFrame = (f) => {
    if (!asleep) return frame(f);
    kept.push(f);
    return 0;
  };
  window.benchSleep = () => { asleep = true; };
  window.benchWake = () => {
    asleep = false;
    const now = kept;
    kept = [];
    now.forEach(frame);
  };
  window.addEventListener('resize', window.benchWake);
  document.addEventListener('visibilitychange', window.benchWake);

  // The bench smooths its edges itself: a canvas that does it again would cost most of a frame where there is no graphics
  // card.
  const context = HTMLCanvasElement.prototype.getContext;
  HTMLCanvasElement.prototype.getContext = function (kind, how) {
    return context.call(this, kind, { ...how, antialias: false });
  };

  // The program calls these.
  window.benchReady = () => {
    loading.hidden = true;
    $('words').hidden = false;
    const canvas = document.querySelector('canvas');
    if (canvas) {
      canvas.setAttribute('aria-hidden', 'true');
      canvas.tabIndex = -1;
    }
  };
  window.benchFailed = (message) => fail('The bench stopped: ' + message);

  async function fetchProgram() {
    const answer = await fetch('bench.wasm', { credentials: 'same-origin' });
    if (!answer.ok) throw new Error('the program could not be fetched (status ' + answer.status + ')');
    const plain = Number(answer.headers.get('X-Plain-Length')) ||
      (answer.headers.get('Content-Encoding') ? 0 : Number(answer.headers.get('Content-Length')));
    if (!plain) bar.removeAttribute('value');
    const reader = answer.body.getReader();
    const parts = [];
    let got = 0;
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      parts.push(value);
      got += value.length;
      if (plain) bar.value = Math.min(got / plain, 1);
    }
    const whole = new Uint8Array(got);
    let at = 0;
    for (const p of parts) { whole.set(p, at); at += p.length; }
    return whole;
  }

  async function start() {
    if (typeof Go === 'undefined' || typeof WebAssembly === 'undefined') {
      fail('This browser cannot run the bench: it needs WebAssembly.');
      return;
    }
    try {
      const program = await fetchProgram();
      text.textContent = 'Setting up …';
      const go = new Go();
      const { instance } = await WebAssembly.instantiate(program, go.importObject);
      go.run(instance).then(() => fail('The bench has ended.'), (e) => fail('The bench stopped: ' + e));
    } catch (e) {
      fail('The bench could not be started: ' + e.message);
    }
  }

  // The bench in words.
  function setText(el, s) { if (el.textContent !== s) el.textContent = s; }

  function setList(el, lines) {
    lines = lines || [];
    while (el.children.length > lines.length) el.lastChild.remove();
    lines.forEach((s, i) => {
      if (i === el.children.length) el.append(document.createElement('li'));
      setText(el.children[i], s);
    });
  }

  const roles = { toggle: 'button', choice: 'radio', lead: 'button', target: 'button', sheet: 'application', button: 'button' };
  const elements = new Map();
  let quiet = false; // focus moved by the program, not by the person

  function setAttr(el, name, value) {
    if (value === null) { if (el.hasAttribute(name)) el.removeAttribute(name); return; }
    if (el.getAttribute(name) !== value) el.setAttribute(name, value);
  }

  function setWidgets(widgets, focus) {
    const box = $('words-widgets');
    const seen = new Set();
    let before = box.firstChild;
    for (const w of widgets) {
      seen.add(w.id);
      let el = elements.get(w.id);
      if (!el) {
        el = document.createElement('button');
        el.type = 'button';
        el.dataset.id = w.id;
        elements.set(w.id, el);
      }
      if (el === before) before = before.nextSibling; else box.insertBefore(el, before);
      setText(el, w.label);
      setAttr(el, 'role', roles[w.role] === 'button' ? null : roles[w.role] || null);
      setAttr(el, 'data-role', w.role);
      setAttr(el, 'aria-disabled', w.enabled ? null : 'true');
      setAttr(el, 'aria-pressed', w.role === 'toggle' || w.role === 'lead' ? String(!!w.on) : null);
      setAttr(el, 'aria-checked', w.role === 'choice' ? String(!!w.on) : null);
      setAttr(el, 'aria-description', w.hint || null);
      el.tabIndex = w.stop && w.enabled ? 0 : -1;
      setAttr(el, 'data-x', w.x.toFixed(1));
      setAttr(el, 'data-y', w.y.toFixed(1));
      setAttr(el, 'data-w', w.w.toFixed(1));
      setAttr(el, 'data-h', w.h.toFixed(1));
      setAttr(el, 'data-hidden', w.hidden ? 'true' : null);
    }
    for (const [id, el] of elements) {
      if (!seen.has(id)) { el.remove(); elements.delete(id); }
    }
    // The browser's own focus follows the bench's, so that a reader says where it is and Tab goes on from there.
    const active = document.activeElement;
    const inside = box.contains(active) || active === document.body || active.tagName === 'CANVAS';
    const el = focus && elements.get(focus);
    if (el && inside && document.activeElement !== el) {
      quiet = true;
      el.focus({ preventScroll: true });
      quiet = false;
    }
  }

  function setPoints(points) {
    const box = $('words-points');
    points = points || [];
    while (box.children.length > points.length) box.lastChild.remove();
    points.forEach((p, i) => {
      if (i === box.children.length) box.append(document.createElement('li'));
      const el = box.children[i];
      setText(el, p.point);
      setAttr(el, 'data-point', p.point);
      setAttr(el, 'data-x', p.x.toFixed(1));
      setAttr(el, 'data-y', p.y.toFixed(1));
      setAttr(el, 'data-seen', p.seen ? 'true' : null);
      setAttr(el, 'data-ok', p.ok ? 'true' : null);
    });
  }

  window.benchMirror = (json) => {
    const m = JSON.parse(json);
    setText($('words-title'), m.title);
    document.title = m.exercise ? m.title + ' – Faultloom' : 'Faultloom';
    setText($('words-guide'), m.guide || '');
    setText($('words-event'), m.event || '');
    setText($('words-trouble'), m.trouble || '');
    setList($('words-card'), m.card);
    setList($('words-seen'), m.seen);
    setList($('words-readings'), m.readings);
    setList($('words-report'), m.report);
    setWidgets(m.widgets, m.focus);
    setPoints(m.points);
    const words = $('words');
    setAttr(words, 'data-screen', m.screen);
    setAttr(words, 'data-exercise', m.exercise || null);
    setAttr(words, 'data-seq', String(m.seq));
    setAttr(words, 'data-ticks', String(m.ticks));
    setAttr(words, 'data-busy', m.busy ? 'true' : null);
    setAttr(words, 'data-form', m.form);
  };

  const widgets = $('words-widgets');
  widgets.addEventListener('click', (e) => {
    const el = e.target.closest('button');
    if (el && window.benchPress) window.benchPress(el.dataset.id);
  });
  widgets.addEventListener('focusin', (e) => {
    const el = e.target.closest('button');
    if (el && !quiet && window.benchFocus) window.benchFocus(el.dataset.id);
  });

  start();
})();

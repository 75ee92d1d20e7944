'use strict';
// Moves the arm in the pictures of each learner. Nothing is fetched: all numbers
// stand in the document. Without this script the pictures show key moments.
(() => {
  const calm = matchMedia('(prefers-reduced-motion: reduce)');
  let playing = null;

  // A pose is its rotation's columns, then its place.
  const mul = (a, b) => {
    const out = [];
    for (let c = 0; c < 4; c++) {
      for (let r = 0; r < 3; r++) {
        out.push(a[r] * b[3 * c] + a[3 + r] * b[3 * c + 1] + a[6 + r] * b[3 * c + 2] + (c === 3 ? a[9 + r] : 0));
      }
    }
    return out;
  };
  const apply = (a, p) => [0, 1, 2].map(r => a[r] * p[0] + a[3 + r] * p[1] + a[6 + r] * p[2] + a[9 + r]);

  // Denavit-Hartenberg, standard form.
  const link = ([a, alpha, d, offset, slides], q) => {
    const th = slides ? offset : q * Math.PI / 180 + offset, z = slides ? q + d : d;
    const c = Math.cos(th), s = Math.sin(th), ca = Math.cos(alpha), sa = Math.sin(alpha);
    return [c, s, 0, -s * ca, c * ca, sa, s * sa, -c * sa, ca, a * c, a * s, z];
  };
  const forward = (m, q) => {
    const frames = [m.base];
    m.dh.forEach((row, i) => frames.push(mul(frames[i], link(row, q[i]))));
    frames[6] = mul(frames[6], m.flange);
    return frames;
  };

  // The value of a list of [time, ...] rows that is in force at a time.
  const inForce = (rows, t) => {
    let lo = 0, hi = rows.length - 1;
    while (lo < hi) {
      const mid = (lo + hi + 1) >> 1;
      if (rows[mid][0] <= t) lo = mid; else hi = mid - 1;
    }
    return lo;
  };
  const axesAt = (m, t) => {
    const i = inForce(m.q, t), a = m.q[i], b = m.q[Math.min(i + 1, m.q.length - 1)];
    const f = b[0] > a[0] ? Math.min(Math.max((t - a[0]) / (b[0] - a[0]), 0), 1) : 0;
    return a.slice(1).map((v, k) => v + f * (b[k + 1] - v));
  };

  // A cylinder becomes two circles of points; all else is drawn as it is.
  const facets = 20;
  const ready = solid => {
    if (!solid.c) return solid;
    const [p, q] = solid.p, d = q.map((v, k) => v - p[k]), l = Math.hypot(...d), w = d.map(v => v / l);
    const u0 = Math.abs(w[0]) > 0.7 ? [0, 1, 0] : [1, 0, 0];
    const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    const v0 = cross(w, u0), n = Math.hypot(...v0), v = v0.map(x => x / n), u = cross(v, w);
    const points = [];
    for (const end of [p, q]) {
      for (let i = 0; i < facets; i++) {
        const c = solid.c * Math.cos(2 * Math.PI * i / facets), s = solid.c * Math.sin(2 * Math.PI * i / facets);
        points.push(end.map((e, k) => e + c * u[k] + s * v[k]));
      }
    }
    return { l: solid.l, p: points };
  };

  const num = v => Math.round(v * 10) / 10;
  const views = { top: p => [p[0], -p[1]], side: p => [p[0], -p[2]] };

  const hull = list => {
    const p = list.slice().sort((a, b) => a[0] - b[0] || a[1] - b[1]);
    const half = p => {
      const h = [];
      for (const q of p) {
        while (h.length > 1) {
          const a = h[h.length - 2], b = h[h.length - 1];
          if ((b[0] - a[0]) * (q[1] - a[1]) - (b[1] - a[1]) * (q[0] - a[0]) > 0) break;
          h.pop();
        }
        h.push(q);
      }
      h.pop();
      return h;
    };
    return half(p).concat(half(p.reverse()));
  };
  const outline = (solid, frame, flat) => {
    const p = solid.p.map(v => flat(apply(frame, v)));
    if (!solid.r) return 'M' + hull(p).map(q => num(q[0]) + ' ' + num(q[1])).join('L') + 'z';
    const r = solid.r, a = p[0], b = p[p.length - 1], dx = b[0] - a[0], dy = b[1] - a[1], l = Math.hypot(dx, dy);
    if (l < 1e-3) return `M${num(a[0] - r)} ${num(a[1])}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`;
    const nx = -dy / l * r, ny = dx / l * r, at = (x, y) => num(x) + ' ' + num(y), arc = `A${r} ${r} 0 0 0 `;
    return 'M' + at(a[0] + nx, a[1] + ny) + 'L' + at(b[0] + nx, b[1] + ny) + arc + at(b[0] - nx, b[1] - ny) +
      'L' + at(a[0] - nx, a[1] - ny) + arc + at(a[0] + nx, a[1] + ny) + 'z';
  };

  const replay = panel => {
    const part = panel.closest('.learner');
    const m = JSON.parse(part.querySelector('.motion-data').textContent);
    m.links = m.links.map(ready);
    m.tools = m.tools.map(t => t.map(ready));
    m.parts = m.parts.map(ready);
    const scenes = m.scene.map(s => [s.t, s]);
    const steps = [...part.querySelectorAll('tr[data-at]')].map(row => [Number(row.dataset.at),
      row.cells[0].textContent + ': ' + row.cells[1].textContent, Number(row.dataset.to)]);
    const range = panel.querySelector('input'), now = panel.querySelector('.now'), button = panel.querySelector('.play');
    const pace = panel.querySelector('select'), cursors = part.querySelectorAll('.cursor');
    const groups = [...part.querySelectorAll('.views .moving')].map(g => [g, views[g.dataset.view]]);
    let t = 0, last = 0;

    const show = () => {
      const frames = forward(m, axesAt(m, t)), bodies = [];
      if (scenes.length) {
        const s = scenes[inForce(scenes, t)][1];
        m.parts.forEach((p, i) => bodies.push(['part', p, s.h === i ? mul(frames[6], s.p[i]) : s.p[i]]));
      }
      for (const s of m.links) bodies.push(['arm', s, frames[s.l]]);
      const tool = m.tool.length ? m.tool[inForce(m.tool, t)][1] : -1;
      for (const s of m.tools[tool] || []) bodies.push(['tool', s, frames[6]]);
      for (const [g, flat] of groups) {
        while (g.childElementCount < bodies.length) g.append(document.createElementNS(g.namespaceURI, 'path'));
        while (g.childElementCount > bodies.length) g.lastElementChild.remove();
        bodies.forEach(([kind, s, frame], i) => {
          const e = g.children[i];
          e.setAttribute('class', kind);
          e.setAttribute('d', outline(s, frame, flat));
        });
      }
      for (const c of cursors) {
        const x = 100 * t / m.d + '%';
        c.setAttribute('x1', x);
        c.setAttribute('x2', x);
      }
      part.classList.add('live');
      const step = steps.length ? steps[inForce(steps, t + 1e-6)] : null; // a long program's last steps are not listed
      const words = t.toFixed(2) + ' of ' + m.d.toFixed(2) + ' s' + (step && t <= step[2] + 0.011 ? ', step ' + step[1] : '');
      now.setAttribute('aria-live', playing === self ? 'off' : 'polite'); // nobody wants every frame read aloud
      now.textContent = words;
      range.value = t;
      range.setAttribute('aria-valuetext', words);
    };
    const seek = to => { t = Math.min(Math.max(to, 0), m.d); show(); };
    const on = () => { const next = steps.find(s => s[0] > t + 1e-6); seek(next ? next[0] : m.d); };
    const back = () => { const past = steps.filter(s => s[0] < t - 1e-6); seek(past.length ? past[past.length - 1][0] : 0); };
    const pause = () => {
      if (playing !== self) return;
      playing = null;
      button.textContent = 'Play';
    };
    const frame = time => {
      if (playing !== self) return;
      if (last) {
        if (!calm.matches) {
          seek(t + (time - last) / 1000 * Number(pace.value));
          last = time;
        } else if (time - last > 1500) { // whole steps instead of motion
          on();
          last = time;
        }
      } else {
        last = time;
      }
      if (t >= m.d) pause(); else requestAnimationFrame(frame);
    };
    const play = () => {
      if (playing === self) return pause();
      if (playing) playing.pause();
      if (t >= m.d) t = 0;
      playing = self;
      last = 0;
      button.textContent = 'Pause';
      show();
      requestAnimationFrame(frame);
    };
    const self = { seek, on, back, play, pause };
    return self;
  };

  const made = new Map();
  const of = part => {
    const panel = part && part.querySelector('.replay');
    if (panel && !made.has(panel)) made.set(panel, replay(panel));
    return made.get(panel);
  };
  for (const hidden of document.querySelectorAll('.replay, .jump')) hidden.hidden = false;
  document.addEventListener('click', e => {
    const r = e.target.closest('.replay [data-do], .jump, .plot') && of(e.target.closest('.learner'));
    if (!r) return;
    const button = e.target.closest('[data-do]'), jump = e.target.closest('.jump'), plot = e.target.closest('.plot');
    if (button) {
      if (button.dataset.do !== 'play') r.pause();
      r[button.dataset.do]();
    } else if (jump) {
      r.pause();
      r.seek(Number(jump.dataset.at));
      const views = jump.closest('.learner').querySelector('.views');
      views.scrollIntoView({ behavior: calm.matches ? 'auto' : 'smooth', block: 'center' });
      views.querySelector('input').focus({ preventScroll: true });
    } else if (plot) {
      const box = plot.getBoundingClientRect();
      r.pause();
      r.seek((e.clientX - box.left) / box.width * Number(plot.closest('.learner').querySelector('.replay').dataset.until));
    }
  });
  document.addEventListener('input', e => {
    if (e.target.matches('.replay input')) {
      const r = of(e.target.closest('.learner'));
      r.pause();
      r.seek(Number(e.target.value));
    }
  });
})();

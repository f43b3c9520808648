import { createHash } from 'node:crypto';
import { html, Markup } from './markup.js';

/**
 * The one script of a report: it reads points off the charts. A pointer over a drawing finds the nearest marker, arrow
 * keys go from one to the next, and the words of the point stand in a line below the drawing, which a screen reader
 * reads out. Without it, and on paper, each drawing is what it was: a marker shows its words when a pointer rests on it.
 *
 * It takes everything from the drawings: `drawMarkers` gathers the markers of a curve in a `g[data-points]`, with the
 * words of each in a `title`. The narrow drawing has no words of its own; its markers are in the order of the others.
 */
export const READING_AID = `
(() => {
'use strict';
const HINT = matchMedia('(hover: none)').matches
  ? 'To read a point, touch it.'
  : 'To read a point, point at it, or press Tab and then the arrow keys.';
const placeOf = (path) => path.transform.baseVal[0].matrix;

function drawingOf(svg) {
  const curves = [...svg.querySelectorAll('g[data-points]')].map((g) => [...g.querySelectorAll('path')]);
  const ring = svg.appendChild(document.createElementNS(svg.namespaceURI, 'circle'));
  ring.setAttribute('class', 'ring');
  ring.setAttribute('r', 9);
  return { svg, curves, ring };
}

function takeWords({ svg, curves }) {
  const words = curves.map((paths) => paths.map((path) => path.parentNode.querySelector('title').textContent));
  // Else the browser would show them a second time, over the drawing.
  for (const title of svg.querySelectorAll('g[data-points] title')) title.remove();
  return words;
}

function equip(plot, hint) {
  const drawings = [...plot.querySelectorAll('svg')].map(drawingOf);
  const widest = drawings.at(-1);
  if (!widest || widest.curves.length === 0) return;
  for (const { curves } of drawings)
    if (curves.map((paths) => paths.length).join() !== widest.curves.map((paths) => paths.length).join()) return;
  for (const one of drawings.slice(0, -1))
    if (one.svg.querySelector('g[data-points] title')) takeWords(one);
  const words = takeWords(widest);
  const line = plot.appendChild(document.createElement('p'));
  line.className = 'readout';
  // Over the caption while a point is read: an empty line below every chart would be a gap.
  plot.classList.toggle('covers', hint === '');
  line.setAttribute('aria-live', 'polite');
  let at = null;

  function show(place) {
    at = place;
    line.textContent = at ? words[at[0]][at[1]] : hint;
    plot.classList.toggle('reads', at !== null);
    if (!at) return;
    for (const { curves, ring } of drawings) {
      const { e, f } = placeOf(curves[at[0]][at[1]]);
      ring.setAttribute('cx', e);
      ring.setAttribute('cy', f);
    }
  }

  // The place of the point that is least far away by the measure given, among all curves or in one.
  function nearest(distance, only) {
    const { curves } = drawings.find(({ svg }) => svg.getClientRects().length > 0) ?? widest;
    let [least, found] = [1e9, null];
    curves.forEach((paths, curve) => paths.forEach((path, i) => {
      const far = only === null || only === curve ? distance(placeOf(path)) : 1e9;
      if (far < least) [least, found] = [far, [curve, i]];
    }));
    return found;
  }

  const held = () => document.activeElement === plot;
  for (const { svg } of drawings) {
    for (const kind of ['pointermove', 'pointerdown'])
      svg.addEventListener(kind, ({ clientX, clientY }) => {
        const { x, y } = new DOMPoint(clientX, clientY).matrixTransform(svg.getScreenCTM().inverse());
        show(nearest(({ e, f }) => Math.hypot(e - x, f - y), null));
      });
    // A finger that is lifted leaves too, but wants to read.
    svg.addEventListener('pointerleave', ({ pointerType }) => {
      if (pointerType === 'mouse' && !held()) show(null);
    });
  }

  const last = (curve) => words[curve].length - 1;
  const across = (step) => ([curve, i]) => [curve, Math.min(last(curve), Math.max(0, i + step))];
  const toCurve = (step) => ([curve, i]) => {
    const other = (curve + step + words.length) % words.length;
    const { curves } = drawings.find(({ svg }) => svg.getClientRects().length > 0) ?? widest;
    const { e: x } = placeOf(curves[curve][i]);
    return nearest(({ e }) => Math.abs(e - x), other);
  };
  const KEYS = {
    ArrowRight: across(1), ArrowLeft: across(-1), PageDown: across(10), PageUp: across(-10),
    Home: ([curve]) => [curve, 0], End: ([curve]) => [curve, last(curve)],
    ArrowDown: toCurve(1), ArrowUp: toCurve(-1), Escape: () => null,
  };
  plot.addEventListener('keydown', (event) => {
    const go = KEYS[event.key];
    if (!go || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    show(at || event.key === 'Escape' ? go(at ?? [0, 0]) : [0, 0]);
  });
  plot.addEventListener('focus', () => show(at ?? [0, 0]));
  plot.addEventListener('blur', () => show(null));
  plot.tabIndex = 0;
  plot.setAttribute('role', 'application');
  const titles = plot.closest('figure').getAttribute('aria-labelledby').split(' ');
  const title = titles.map((id) => document.getElementById(id).textContent).join(': ');
  plot.setAttribute('aria-label', 'Points of the chart, by arrow keys: ' + title);
  show(null);
}
// Said once: the others are read alike.
document.querySelectorAll('figure .plot').forEach((plot, i) => equip(plot, i === 0 ? HINT : ''));
})();
`;

const HASH = createHash('sha256').update(READING_AID).digest('base64');

/** What a report may do: show itself and run this one script, known by its hash. Nothing is loaded, nothing sent. */
export const REPORT_POLICY = `default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-${HASH}'`;

/** The script as it stands at the end of a page. */
export const readingAid: Markup = html`<script>${new Markup(READING_AID)}</script>`;

import { formatQuantity } from '../../units/format.js';
import type { SizeName } from '../chart/axes.js';
import { html, Markup } from '../html/markup.js';
import { typeset } from '../html/typeset.js';
import { capital } from '../model/capital.js';
import { settingWords } from '../model/wording.js';
import { oneLine } from '../text/visible-text.js';
import type { ComparedRun } from './comparison.js';
import { bandWords, mainsWords, stepName } from './match-figures.js';
import { type Overlay, type OverlayLine, overlays } from './overlay.js';
import { overlayChart, type Side } from './overlay-chart.js';
import { overlayStyle } from './overlay-style.js';

const POWER: Side = { name: 'Power per channel, W', value: ({ power_W }) => power_W, scale: 'log' };
const THDN: Side = {
  name: 'THD+N, %',
  value: ({ thdn_percent }) => thdn_percent ?? Number.NaN,
  scale: 'log',
};
const FREQUENCY: Side = {
  name: 'Frequency, Hz',
  value: ({ frequency_Hz }) => frequency_Hz,
  scale: 'log-frequency',
};
const TIME: Side = { name: 'Time, s', value: ({ at_s }) => at_s, scale: 'zero' };

interface View {
  readonly title: string;
  readonly across: Side;
  readonly up: Side;
  readonly lines: readonly OverlayLine[];
}

/** The ways in which an overlay is looked at. */
function viewsOf({ kind, lines }: Overlay): View[] {
  const watts: Side = { ...POWER, scale: scaleFor(lines.flatMap(({ points }) => points.map(POWER.value))) };
  switch (kind) {
    case 'ceiling':
      return [{ title: 'Most power across the band', across: FREQUENCY, up: watts, lines }];
    case 'climb':
      return [{ title: 'THD+N against power', across: POWER, up: THDN, lines }, ...nearClipping(lines)];
    case 'sweep':
      return [
        { title: 'THD+N across the band', across: FREQUENCY, up: THDN, lines },
        { title: 'Power across the band', across: FREQUENCY, up: watts, lines },
      ];
    case 'hold':
      return [
        { title: 'Power over the hold', across: TIME, up: watts, lines },
        { title: 'THD+N over the hold', across: TIME, up: THDN, lines },
      ];
  }
}

/** Powers closer together than this, as a ratio, would be one line on an axis from zero. */
const CLOSE = 1.5;

function scaleFor(powers_W: readonly number[]): 'near' | 'zero' {
  return Math.max(...powers_W) / Math.min(...powers_W) < CLOSE ? 'near' : 'zero';
}

/** From this share of the least crossing on a climb is shown a second time, larger. */
const NEAR_SHARE = 0.75;

/** Where units differ: the last stretch of the climbs, around the thresholds. Nothing when none was crossed. */
function nearClipping(lines: readonly OverlayLine[]): View[] {
  const crossings = lines.flatMap((line) => line.crossings.map(({ power_W }) => power_W));
  if (crossings.length === 0) return [];
  const from_W = NEAR_SHARE * Math.min(...crossings);
  const near = lines.map((line) => ({
    ...line,
    points: line.points.filter(({ power_W }) => power_W >= from_W),
  }));
  return [{ title: 'THD+N near clipping', across: { ...POWER, scale: 'near' }, up: THDN, lines: near }];
}

/** Every picture in which at least two runs meet. */
export function overlayFigures(runs: readonly ComparedRun[]): Markup {
  const drawn = overlays(runs).flatMap((overlay, i) =>
    viewsOf(overlay).map((view, n) => overlayFigure(overlay, view, `overlay-${i + 1}-${n + 1}`)),
  );
  if (drawn.length === 0)
    return html`<p>No two runs have a curve of the same kind: there is nothing to lay over each other.</p>`;
  return html`<div class="figures">${drawn}</div>`;
}

const SIZES_FOR: Readonly<Record<'full' | 'half', readonly SizeName[]>> = {
  full: ['narrow', 'middle', 'wide'],
  half: ['narrow', 'middle'],
};

function overlayFigure(overlay: Overlay, view: View, id: string): Markup {
  const { title, across, up, lines } = view;
  const span = overlay.kind === 'ceiling' ? 'full' : 'half';
  const words = typeset(capital(captionOf(overlay, view)));
  const rings = overlay.kind === 'climb';
  const draw = (size: SizeName) => overlayChart({ id, name: words, size, lines, across, up, rings });
  return html`<figure class="${span}" aria-labelledby="${id}-title">
<h3 id="${id}-title">${title}: ${stepOf(overlay)}${typeset(settingOf(overlay))}</h3>
<ul class="key">${lines.map((line, i) => html`<li>${sample(line, i)}<span>${keyWords(line)}</span></li>`)}</ul>
<div class="plot">${SIZES_FOR[span].map((size) => html`<div class="${size}">${new Markup(draw(size))}</div>`)}</div>
<figcaption>${words}</figcaption>
</figure>
`;
}

/** A name that is short enough stays on one line. */
const LONGEST_WHOLE = 20;

function stepOf({ kind, first }: Overlay): Markup {
  if (kind === 'ceiling') return html``;
  const name = oneLine(stepName(first.step), 40);
  return html`<span${name.length <= LONGEST_WHOLE && html` class="whole"`}><bdi>${name}</bdi>,</span> `;
}

function settingOf({ kind, first }: Overlay): string {
  const { load_ohm, driven, mains_V, band_Hz, threshold_percent } = first;
  const what = kind === 'ceiling' ? `${formatQuantity(threshold_percent!, '%')} THD+N, ` : '';
  const mains = mains_V === null ? '' : `, ${mainsWords(mains_V)}`;
  return `${what}${bandWords(band_Hz)}, ${settingWords(load_ohm, driven)}${mains}`;
}

const keyWords = ({ label, unlike }: OverlayLine): Markup =>
  html`<bdi>${typeset(label)}</bdi>${unlike.length > 0 && html` <em>(unlike: ${typeset(unlike.join('; '))})</em>`}`;

function captionOf({ chosen, kind }: Overlay, { lines, across, up }: View): string {
  const ends = lines
    .filter(({ points }) => points.length > 0)
    .map((line) => {
      const values = line.points.map(up.value).filter(Number.isFinite);
      const words = (value: number) => formatQuantity(value, up === THDN ? '%' : 'W');
      const [least, most] = [Math.min(...values), Math.max(...values)];
      return `${line.label}: ${words(least)} to ${words(most)}`;
    });
  return [
    `${ends.join('; ')}.`,
    chosen,
    [across, up].some(({ scale }) => scale === 'near') ? 'The axis of power does not begin at zero.' : '',
    kind === 'climb' ? 'Rings mark the powers at the thresholds.' : '',
    lines.some(({ unlike }) => unlike.length > 0)
      ? 'Thin dotted lines with hollow markers are of unlike settings.'
      : '',
  ]
    .filter((text) => text !== '')
    .join(' ');
}

/** A stretch of the line with its marker, as it is drawn. */
function sample(line: OverlayLine, index: number): Markup {
  const { colour, dash, marker, width, hollow } = overlayStyle(line, index);
  const fill = hollow
    ? html`fill="var(--paper)" stroke="currentColor" stroke-width=".35"`
    : html`fill="currentColor"`;
  return html`<svg viewBox="0 0 38 12" width="38" height="12" aria-hidden="true" style="color:var(--${colour})"><path d="M0,6H38" stroke="currentColor" stroke-width="${width}" stroke-dasharray="${dash.join(' ')}"/><path d="${marker}" ${fill} transform="translate(19,6) scale(3.6)"/></svg>`;
}

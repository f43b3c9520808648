import { MARGINS, type Trial } from './campaign.js';
import { SHAPES } from './invented-unit.js';

const VERDICTS = ['met', 'inconclusive', 'not met', 'not tested'] as const;
/** Share of false verdicts either way that is allowed where the claim equals the truth. */
const ALLOWED = 0.025;

/** Upper end of what a count may come to by chance where the allowed share is true: 99 % by the normal approximation. */
const bound = (count: number): number => count * ALLOWED + 2.326 * Math.sqrt(count * ALLOWED * (1 - ALLOWED));

const share = (part: number, whole: number): string =>
  whole === 0 ? '–' : `${((100 * part) / whole).toFixed(1)} %`;

/** How often each verdict was said, by where the truth lay, and the goals for it. */
function tableOf(trials: readonly Trial[]) {
  const said = (margin: Trial['margin'], verdict: Trial['verdict']) =>
    trials.filter((one) => one.margin === margin && one.verdict === verdict).length;
  const rows = MARGINS.map((margin) => {
    const all = trials.filter((one) => one.margin === margin).length;
    return `| ${margin} | ${all} | ${VERDICTS.map((verdict) => `${said(margin, verdict)} (${share(said(margin, verdict), all)})`).join(' | ')} |`;
  });
  const equal = trials.filter(({ margin }) => margin === 'equal').length;
  const goals = [
    ['met where the truth lies below the claim by U or more', said('below by U or more', 'met'), 0],
    ['not met where it lies above by U or more', said('above by U or more', 'not met'), 0],
    ['met where the claim equals the truth', said('equal', 'met'), bound(equal)],
    ['not met where it equals it', said('equal', 'not met'), bound(equal)],
  ] as const;
  return { rows, goals, equal };
}

/** The page of the campaign, and whether its goals are reached. */
export function verdictsPage(trials: readonly Trial[], invented: number, played: readonly Trial[]) {
  const { rows, goals } = tableOf(trials);
  const whole = tableOf(played);
  const far = trials.filter(({ missing, distance }) => !missing && Math.abs(distance) >= 2);
  const leftOpen = (own: readonly Trial[]) =>
    `${own.length} | ${share(own.filter(({ verdict }) => verdict === 'inconclusive' || verdict === 'not tested').length, own.length)}`;
  const shapes = SHAPES.map((shape) => {
    const own = far.filter((one) => one.shape === shape);
    return `| ${shape} | ${leftOpen(own.filter(({ distance }) => distance > 0))} | ${leftOpen(own.filter(({ distance }) => distance < 0))} |`;
  });
  const wrong = [...trials, ...played].filter(
    ({ margin, verdict }) =>
      (margin === 'below by U or more' && verdict === 'met') ||
      (margin === 'above by U or more' && verdict === 'not met'),
  );
  const text = `# Verdicts against the truth

\`npm run verdicts\` writes this page. ${invented} units are invented as readings, with ${SHAPES.length} shapes of curve in turn: ${SHAPES.join(', ')}. Some
readings are missing. Each bench has hidden errors, drawn from the uncertainties that it states. Claims lie within 3 U of
the true maximum power, a third of them at it. ${trials.length} units keep the limit somewhere, so that a claim can be made. U is the expanded uncertainty.

| Truth against claim | Claims | met | inconclusive | not met | not tested |
|---|---|---|---|---|---|
${rows.join('\n')}

## Goals

| Said | Times | At most |
|---|---|---|
${goals.map(([what, times, most]) => `| ${what} | ${times} | ${most.toFixed(0)} |`).join('\n')}

The last two allow ${100 * ALLOWED} % of ${tableOf(trials).equal}, with a 99 % binomial bound.

## Left open although the truth lies 2 U or more from the claim

Of runs without missing readings. U is that of the power alone: where distortion rises slowly (soft), its own uncertainty comes
on top. Crossover and noise may leave a sliver that keeps the limit between two steps. A compressor gives a little more for every
decibel of drive, so that no reading bounds it from above. All its claims above the truth stay open for that reason.

| Shape | Truth above | Left open | Truth below | Left open |
|---|---|---|---|---|
${shapes.join('\n')}

## Through the whole runner

${played.length} of these units stand on a simulated bench, which plays their power, distortion and noise as sound. The runner climbs at
1 kHz in its own steps, with its own gain check, settling and search. The bench states an uncertainty, and errs by a draw from it.

| Truth against claim | Claims | met | inconclusive | not met | not tested |
|---|---|---|---|---|---|
${whole.rows.join('\n')}

| Said | Times | At most |
|---|---|---|
${whole.goals.map(([what, times, most]) => `| ${what} | ${times} | ${most.toFixed(0)} |`).join('\n')}
`;
  return { text, wrong, holds: [...goals, ...whole.goals].every(([, times, most]) => times <= most) };
}

import { DIED } from '../record/end-cause.js';
import type { Permit } from '../record/run-record.js';
import type { PackedRun } from './run-schema.js';

/**
 * What the parts of a packed run must be to each other, which no schema of single fields can say.
 *
 * @returns what is wrong; nothing when all is well
 */
export function runFaults(run: PackedRun, permits: readonly Permit[]): string[] {
  return [
    ...endFaults(run),
    ...pointFaults(run),
    ...readingFaults(run),
    ...besideFaults(run),
    ...sessionFaults(run),
    ...permitFaults(run, permits),
  ];
}

/** Only a program that died leaves a run without an end. */
function endFaults({ ended, outcome, reason }: PackedRun): string[] {
  const died = outcome === 'interrupted' && reason === DIED;
  return ended === null && !died ? ['ended: missing, although the run was closed'] : [];
}

function pointFaults({ points }: PackedRun): string[] {
  const place = points.findIndex(({ number }, i) => number !== i + 1);
  return place < 0 ? [] : [`points.${place}: points are numbered from 1 without holes`];
}

const key = ({ point, channel }: { readonly point: number; readonly channel: number }) =>
  `${point}/${channel}`;

function readingFaults({ points, readings }: PackedRun): string[] {
  const seen = new Set<string>();
  let last = 0;
  for (const [i, reading] of readings.entries()) {
    const point = points[reading.point - 1];
    const where = `readings.${i}`;
    if (!point) return [`${where}: there is no point ${reading.point}`];
    if (point.step !== reading.step || point.load_ohm !== reading.load_ohm)
      return [`${where}: step or load differ from those of point ${reading.point}`];
    if (reading.point < last) return [`${where}: readings stand in the order of their points`];
    if (seen.has(key(reading))) return [`${where}: a second one of channel ${reading.channel} at this point`];
    seen.add(key(reading));
    last = reading.point;
  }
  return [];
}

/** Settlings and captures belong to readings. */
function besideFaults({ readings, settlings, captures }: PackedRun): string[] {
  const known = new Set(readings.map(key));
  const settled = new Set(settlings.map(key));
  const stray = settlings.find((one) => !known.has(key(one)));
  const points = new Set(captures.map(({ point }) => point));
  const astray = captures.find(
    ({ point, channels, frames, rate_Hz }) =>
      frames < 1 ||
      !(Number.isInteger(rate_Hz) && rate_Hz > 0) ||
      channels.length === 0 ||
      new Set(channels).size < channels.length ||
      !channels.every((channel) => known.has(key({ point, channel }))),
  );
  return [
    ...(stray ? [`settlings: there is no reading ${key(stray)}`] : []),
    ...(settled.size < settlings.length ? ['settlings: a reading has two'] : []),
    ...(astray ? [`captures: that of point ${astray.point} fits no readings`] : []),
    ...(points.size < captures.length ? ['captures: a point has two'] : []),
  ];
}

function sessionFaults({ sessions }: PackedRun): string[] {
  const place = sessions.findIndex(({ number }, i) => number !== i + 2);
  return place < 0 ? [] : [`sessions.${place}: sessions are numbered from 2 without holes`];
}

/** A permit that no session used would be a licence to play, brought in from outside. */
function permitFaults({ permit, sessions }: PackedRun, permits: readonly Permit[]): string[] {
  const used = [permit, ...sessions.map((session) => session.permit ?? null)].filter((id) => id !== null);
  const carried = permits.map(({ id }) => id);
  if (new Set(used).size < used.length) return ['permits: one serves two sessions'];
  const same = [...used].sort().join('\n') === [...carried].sort().join('\n');
  return same ? [] : ['permits: those carried are not those that the run and its sessions used'];
}

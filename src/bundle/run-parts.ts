import type { StoredCapture, StoredPart } from '../record/run-part.js';
import type { Reading } from '../record/run-record.js';
import type { RunContent } from './content.js';
import type { PackedCapture } from './run-schema.js';

const placeOf = ({ point, channel }: { readonly point: number; readonly channel: number }) =>
  `${point}/${channel}`;

/**
 * Takes a whole run apart into what was added to it, each kind in its order.
 *
 * @param files of the captures that are there, by point
 */
export function* partsOf(
  { record, settlings }: Pick<RunContent, 'record' | 'settlings'>,
  files: ReadonlyMap<number, StoredCapture & PackedCapture>,
): Generator<StoredPart> {
  const settled = new Map(settlings.map((one) => [placeOf(one), one]));
  const readings = new Map<number, Reading[]>(record.points.map(({ number }) => [number, []]));
  for (const reading of record.readings) readings.get(reading.point)!.push(reading);
  for (const point of record.points) {
    const own = readings.get(point.number)!;
    const known = own.map((reading) => settled.get(placeOf(reading)) ?? null);
    yield { kind: 'point', point, readings: own, settlings: known };
  }
  for (const { point, file, sha256, rate_Hz, frames, channels } of files.values())
    yield { kind: 'capture', point, file, sha256, rate_Hz, frames, channels };
  for (const finding of record.findings) yield { kind: 'finding', finding };
  for (const event of record.events) yield { kind: 'event', event };
  for (const sample of record.probes) yield { kind: 'sample', sample };
}

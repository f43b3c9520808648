import type { RunContent } from '../../bundle/content.js';
import type { StoredSettling } from '../contract/run-store.js';

/** How the records behind the readings of a step had settled, those of which it is known. */
export function settlingsOf(
  { record, settlings }: Pick<RunContent, 'record' | 'settlings'>,
  step: string,
): StoredSettling[] {
  const placeOf = ({ point, channel }: { readonly point: number; readonly channel: number }) =>
    `${point}/${channel}`;
  const own = new Map(
    record.readings.filter((reading) => reading.step === step).map((one) => [placeOf(one), one]),
  );
  return settlings.flatMap(({ point, channel, level, residue }) => {
    const reading = own.get(placeOf({ point, channel }));
    const settled = !reading?.flags.includes('not-settled');
    return reading ? [{ point, channel, settling: { settled, level, residue } }] : [];
  });
}

import { assumptions } from '../../calibration/assumptions.js';
import { overdueRecords } from '../../calibration/used-records.js';
import type { Walk } from './walk.js';

/** Says once a run what its figures take for granted, and which calibration records are past their due date. */
export async function noteOpening(walk: Walk): Promise<void> {
  const { setup } = walk.request;
  for (const { id, kind, due } of overdueRecords(setup))
    await walk.note('calibration', `The ${kind} record ${id} was due on ${due}: its values may have moved.`);
  for (const text of assumptions(setup)) await walk.note('assumption', text);
  for (const text of walk.request.memory?.words ?? []) await walk.note('warmth', text);
  // The bench file names its twin only: a run that is taken up must not go on with another.
  if (setup.interface.kind === 'simulated' && setup.interface.twinSha256 !== undefined)
    await walk.emit({ kind: 'twin', sha256: setup.interface.twinSha256, at_s: walk.at_s() });
}

import type { RunRecord } from '../../record/run-record.js';

/** A calibration record that a run rests on, as a list shows it. */
export interface UsedCalibration {
  readonly id: string;
  readonly kind: string;
  readonly date: string | null;
  readonly due: string | null;
  readonly hash: string;
}

const HASH_LENGTH = 12;

/** The records of a run with what their texts say of when they were made and how long they hold. */
export function usedCalibration({ calibration }: RunRecord): UsedCalibration[] {
  return calibration.map(({ id, kind, text, sha256 }) => ({
    id,
    kind,
    date: dayOf(text, 'date'),
    due: dayOf(text, 'due'),
    hash: sha256.slice(0, HASH_LENGTH),
  }));
}

/** A day that a record's text gives on a line of its own. Texts of any age must be shown, so nothing else of them is read. */
function dayOf(text: string, key: 'date' | 'due'): string | null {
  return new RegExp(`^${key}:\\s*['"]?(\\d{4}-\\d\\d-\\d\\d)`, 'm').exec(text)?.[1] ?? null;
}

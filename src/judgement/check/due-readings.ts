import { z } from 'zod';
import { type Finding, numberOf } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { isYes, yesOrNo } from '../../schema/fields.js';
import { YamlDocument } from '../../schema/yaml-document.js';

/** Readings that a channel should have, by their numbers from 1 in the order of the sequence. */
export interface DueReadings {
  readonly missing: readonly number[];
  readonly of: number;
}

/** A quiet step as a sequence has it, before repeats and passes are written out. */
interface WrittenQuiet {
  readonly id: string;
  readonly metered: boolean;
  readonly repeated: boolean;
}

const quietSchema = z.looseObject({ id: z.string().optional(), dc_meter: yesOrNo.optional() });
const stepsSchema = z.looseObject({ steps: z.array(z.looseObject({})) });

/**
 * The readings of DC that a sequence plans for a channel: one in each quiet step that asks for a meter's; where the inputs pass
 * direct voltage one in every quiet step, by either. A run that ended early lacks those of the steps that it has not reached.
 */
export function dueDc(record: RunRecord, channel: number, dc_coupled: boolean): DueReadings {
  const own = findingsOf(record).filter(({ setting }) => setting.channel === channel);
  const due = writtenQuiets(record.sequence.text)
    .filter(({ metered }) => metered || dc_coupled)
    .flatMap(({ id, repeated }) => {
      const played = [...new Set(own.map(({ setting }) => setting.step))].filter(
        (step) => step.split('/')[0] === id,
      );
      const isOpen = record.outcome !== 'completed' && (repeated || played.length === 0);
      return isOpen ? [...played, null] : played;
    });
  const reads = ({ quantity }: Finding) => quantity === 'dc-by-meter' || (dc_coupled && quantity === 'dc');
  const read = new Set(
    own.filter((one) => reads(one) && numberOf(one) !== null).map(({ setting }) => setting.step),
  );
  return {
    missing: due.flatMap((step, i) => (step !== null && read.has(step) ? [] : [i + 1])),
    of: due.length,
  };
}

/** The quiet steps of a stored sequence, named as the plan names them. A text of another version, or none, has none. */
function writtenQuiets(text: string): WrittenQuiet[] {
  try {
    return quietsIn(new YamlDocument(text, 'sequence').data, '');
  } catch {
    return [];
  }
}

function quietsIn(data: unknown, before: string): WrittenQuiet[] {
  const read = stepsSchema.safeParse(data);
  if (!read.success) return [];
  return read.data.steps.flatMap((step, i): WrittenQuiet[] => {
    const number = `${before}${i + 1}`;
    if ('repeat' in step) return quietsIn(step.repeat, `${number}.`);
    const quiet = quietSchema.safeParse(step.quiet);
    if (!quiet.success) return [];
    const { id = `quiet-${number}`, dc_meter } = quiet.data;
    return [{ id, metered: isYes(dc_meter), repeated: before !== '' }];
  });
}

import type { Block, Section } from '../../document/model/block.js';
import { channelsOf, findingFor, groupsBy, notesBelow } from '../../document/model/finding-groups.js';
import { findingCell, termsWords } from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import type { Finding } from '../../record/finding.js';
import { oneLine } from '../../units/visible-text.js';

/** Silence: DC, noise and hum of each channel with nothing playing. */
export function showQuiet({ findings }: ShowGround): readonly Section[] {
  const steps = groupsBy(findings, ({ setting }) => [setting.step, setting.load_ohm]);
  if (steps.length === 0) return [];
  return [{ id: 'quiet', title: 'DC, noise and hum without a signal', blocks: steps.flatMap(quietBlocks) }];
}

const COLUMNS = ['Channel', 'DC', 'Noise and hum', 'A-weighted', 'Hum'];

function quietBlocks(found: readonly Finding[]): Block[] {
  const notes = notesBelow(found);
  const mains = new Set(found.flatMap(({ terms }) => terms.mains_Hz ?? []));
  return [
    {
      kind: 'table',
      title: `${oneLine(found[0]!.setting.step, 40)}: ${termsWords(found[0]!)}`,
      columns: COLUMNS.map((name) => ({ name, figures: true })),
      rows: channelsOf(found).map((channel) => {
        const own = found.filter(({ setting }) => setting.channel === channel);
        return [
          String(channel),
          findingCell(findingFor(own, 'dc')),
          findingCell(own.find(({ quantity, terms }) => quantity === 'noise' && terms.weighting !== 'A')),
          findingCell(findingFor(own, 'noise', { weighting: 'A' })),
          findingCell(findingFor(own, 'hum')),
        ];
      }),
    },
    {
      kind: 'text',
      look: 'small',
      text: `Noise and hum: rms in the measuring band. Hum: rms at multiples of ${mains.size === 0 ? 'the mains frequency' : [...mains].map((hz) => `${hz} Hz`).join(' and ')}.`,
    },
    ...(notes.length > 0 ? [{ kind: 'list' as const, items: notes }] : []),
  ];
}

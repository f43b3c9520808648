import type { Block, Section } from '../../document/model/block.js';
import {
  channelsOf,
  findingFor,
  groupsBy,
  notesBelow,
  ofChannel,
} from '../../document/model/finding-groups.js';
import { findingCell, termsWords } from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import { figures, list, section, table, text } from '../../document/model/make-blocks.js';
import type { Finding } from '../../record/finding.js';
import { standingFindings } from '../../record/standing-findings.js';
import { oneLine } from '../../units/visible-text.js';

/** Silence: DC, noise and hum of each channel with nothing playing. */
export function showQuiet({ findings }: ShowGround): readonly Section[] {
  const steps = groupsBy(standingFindings(findings), ({ setting }) => [setting.step, setting.load_ohm]);
  if (steps.length === 0) return [];
  return [section('quiet', 'DC, noise and hum without a signal', steps.flatMap(quietBlocks))];
}

function quietBlocks(found: readonly Finding[]): Block[] {
  const mains = new Set(found.flatMap(({ terms }) => terms.mains_Hz ?? []));
  const multiples =
    mains.size === 0 ? 'the mains frequency' : [...mains].map((hz) => `${hz} Hz`).join(' and ');
  const metered = found.some(({ quantity }) => quantity === 'dc-by-meter');
  const rows = channelsOf(found).map((channel) => {
    const own = ofChannel(found, channel);
    return [
      String(channel),
      findingCell(findingFor(own, 'dc')),
      ...(metered ? [findingCell(findingFor(own, 'dc-by-meter'))] : []),
      findingCell(own.find(({ quantity, terms }) => quantity === 'noise' && terms.weighting !== 'A')),
      findingCell(findingFor(own, 'noise', { weighting: 'A' })),
      findingCell(findingFor(own, 'hum')),
    ];
  });
  return [
    table(
      `${oneLine(found[0]!.setting.step, 40)}: ${termsWords(findingFor(found, 'noise') ?? found[0]!)}`,
      figures(
        ...['Channel', 'DC', ...(metered ? ['DC by meter'] : []), 'Noise and hum', 'A-weighted', 'Hum'],
      ),
      rows,
    ),
    text(`Noise and hum: rms in the measuring band. Hum: rms at multiples of ${multiples}.`, 'small'),
    ...list(notesBelow(found)),
  ];
}

import type { BenchSetup } from '../../bench/bench-setup.js';
import { type ExpectedUnit, type Headroom, headroom } from '../../calibration/headroom.js';
import { type BenchSurvey, survey } from '../../calibration/survey.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { formatQuantity } from '../../units/format.js';
import { oneLine } from '../../units/visible-text.js';
import { parseExpectedUnit, requireLoad } from '../run/expected-unit.js';
import { FaultList } from '../terminal/fault-list.js';
import { checkedBench } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';
import { benchDocument } from './bench-document.js';
import { chainText, reachText } from './bench-text.js';
import { headroomText } from './headroom-text.js';
import { dueText, partsText } from './parts-text.js';

export interface BenchOptions {
  readonly for?: string;
  readonly json?: boolean;
}

interface Asked {
  readonly unit: ExpectedUnit;
  readonly channels: readonly Headroom[];
}

/** `ohmest bench`: shows a bench, and whether it suits a unit. Plays nothing. */
export async function bench(terminal: Terminal, named: string, options: BenchOptions): Promise<number> {
  const faults = new FaultList();
  const expected = options.for;
  const unit = expected === undefined ? null : faults.gather(() => parseExpectedUnit(expected));
  const setup = checkedBench(named, faults);
  faults.throwIfAny();
  if (unit) requireLoad(setup!.channels, unit.load_ohm);
  const asked = unit && { unit, channels: headroom(setup!, unit) };
  const found = survey(setup!);
  terminal.out(
    options.json
      ? JSON.stringify(benchDocument(setup!, found, asked), null, 2)
      : surveyText(setup!, found, asked, named, Math.min(120, Math.max(60, terminal.width))),
  );
  return 0;
}

function surveyText(
  setup: BenchSetup,
  found: BenchSurvey,
  asked: Asked | null,
  named: string,
  width: number,
): string {
  const { channels, assumedGain_dB, rate_Hz } = setup;
  const heading = [
    `${oneLine(setup.name, width - 30)}: ${setup.kind}, ${formatQuantity(rate_Hz, 'Hz')}`,
    wrapText(
      `Third harmonics are in the band for tones up to ${formatQuantity(found.thirdHarmonic_Hz, 'Hz', { figures: 3 })}.`,
      width,
    ),
  ];
  const due = dueText(found, setup.day, named, width);
  const assumed = found.assumed.map((text) => `  - ${wrapText(text, width - 4, '    ')}`);
  return [
    heading.join('\n'),
    chainText(channels, assumedGain_dB, width),
    `Measuring range and ratings, sine\n${reachText(found.reaches, width)}`,
    `Calibration (U: k = 2 unless stated)\n${partsText(found.parts, width)}`,
    due,
    assumed.length > 0 ? `Assumed, not stated\n${assumed.join('\n')}` : '',
    asked ? headroomText(asked.unit, asked.channels, assumedGain_dB, width) : '',
  ]
    .filter((paragraph) => paragraph !== '')
    .join('\n\n');
}

import type { BenchSetup } from '../../bench/bench-setup.js';
import type { ChannelChain } from '../../calibration/chain.js';
import { type ExpectedUnit, type Headroom, headroom } from '../../calibration/headroom.js';
import { type BenchSurvey, survey } from '../../calibration/survey.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { formatQuantity } from '../../units/format.js';
import { BadQuantity, parseQuantity, quoted } from '../../units/parse.js';
import { oneLine } from '../../units/visible-text.js';
import { FaultList } from '../terminal/fault-list.js';
import { inOption } from '../terminal/option.js';
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

/** The bench has no load of the requested ohms. */
const LoadNotThere = inputError('LOAD_NOT_THERE', asTold);

/** A power with its W, a comma or `into` or nothing, a load. */
const SHAPE = /^(.*?W)(?:\s*,\s*|\s+into\s+|\s+)(\S.*)$/;

/** Less is no power amplifier's, more needs another kind of bench: common practice, no source. */
const LEAST_W = 1e-6;
const MOST_W = 1e6;

/**
 * Reads what a unit is expected to give, such as `150 W 8 ohm`, `150 W, 8 ohm` or `150 W into 8 ohm`.
 *
 * @throws BadQuantity
 */
function parseExpectedUnit(text: string): ExpectedUnit {
  const expected = "expected a power and a load such as '150 W 8 ohm'";
  const match = text.length <= 100 ? SHAPE.exec(text.trim()) : null;
  const where = '--for';
  if (!match) throw new BadQuantity({ what: `${expected}, got ${quoted(text)}`, where });
  const [power_W, load_ohm] = [part(match[1]!, 'W'), part(match[2]!, 'ohm')];
  if (power_W < LEAST_W || power_W > MOST_W)
    throw new BadQuantity({
      what: `no amplifier gives ${quoted(match[1]!)}`,
      where,
      mend: `Give a power from ${formatQuantity(LEAST_W, 'W', { trim: true })} to ${formatQuantity(MOST_W, 'W', { trim: true })}`,
    });
  return { power_W, load_ohm };
}

function part(text: string, unit: 'W' | 'ohm'): number {
  return inOption('--for', () => parseQuantity(text, unit));
}

/** @throws LoadNotThere when no channel has the load */
function requireLoad(channels: readonly ChannelChain[], load_ohm: number): void {
  const loads = [...new Set(channels.flatMap((chain) => chain.loads.map(({ nominal_ohm }) => nominal_ohm)))];
  if (loads.includes(load_ohm)) return;
  const has = loads.map((ohms) => formatQuantity(ohms, 'ohm')).join(' and ');
  throw new LoadNotThere({
    what: `no channel of this bench has a load of ${formatQuantity(load_ohm, 'ohm')}`,
    where: '--for',
    mend: `Its loads are ${has}: use one of these, or add the load to the bench file`,
  });
}

import { AIM_dB, type ExpectedUnit, type Headroom, MARK_percent } from '../../calibration/headroom.js';
import { capital, channelWords } from '../../document/model/wording.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { formatQuantity } from '../../units/format.js';
import { uncertainParts } from '../../units/format-uncertain.js';
import { grouped } from './bench-text.js';

const watts = (power_W: number) => formatQuantity(power_W, 'W');
const percent = (value: number) => formatQuantity(value, '%');
const level = (level_dB: number) => `${level_dB.toFixed(1)} dBFS`;
const ratio = (value: number) => formatQuantity(value, '1', { figures: 3 });

/** How a bench suits an expected unit; channels of which the same is to be said are put together. */
export function headroomText(
  unit: ExpectedUnit,
  channels: readonly Headroom[],
  gain_dB: number,
  width: number,
): string {
  const top = channels[0]!.top_W;
  const about =
    `For a unit of ${watts(unit.power_W)} into ${formatQuantity(unit.load_ohm, 'ohm')}: ` +
    `the knee is assumed at this power, 1 % THD+N 0.5 dB higher, at ${watts(top)}.`;
  const lines = (room: Headroom) => [...places(room, unit, gain_dB), ...verdicts(room, unit)];
  const groups = grouped(channels, (room) => lines(room).join('\n')).map((group) => {
    const title = capital(channelWords(group.map(({ channel }) => channel)));
    return [title, ...lines(group[0]!).map((line) => `  ${wrapText(line, width - 2, '    ')}`)].join('\n');
  });
  return [wrapText(about, width), ...groups].join('\n');
}

function places(room: Headroom, unit: ExpectedUnit, gain_dB: number): string[] {
  const { uncertainty_W, drive_Vrms, drive_dB, leastGain_dB } = room;
  const known =
    uncertainty_W === null
      ? 'no uncertainty: a part of the signal chain states none'
      : `U = ${uncertainParts(unit.power_W, uncertainty_W, 'W')?.within} at 1 kHz (${percent((100 * uncertainty_W) / unit.power_W)}), ` +
        'without the noise of a reading';
  return [
    `At the load: ${formatQuantity(room.knee_Vrms, 'V')} rms at the knee, ${formatQuantity(room.top_Vpk, 'V')} peak at 1 %.`,
    `At the converter: ${level(room.kneeLevel_dB)} at the knee, ${level(room.topLevel_dB)} at 1 %.`,
    ratioWords(room),
    drive_dB <= 0
      ? `Drive: a unit with ${formatQuantity(gain_dB, 'dB')} of gain needs ${formatQuantity(drive_Vrms, 'V')} rms (${level(drive_dB)}); ` +
        `full output is enough for a gain of ${formatQuantity(leastGain_dB, 'dB')} or more.`
      : `Drive: even a unit with ${formatQuantity(gain_dB, 'dB')} of gain needs ${formatQuantity(drive_Vrms, 'V')} rms, ` +
        `${formatQuantity(drive_dB, 'dB')} more than the output delivers.`,
    ...room.visible
      // Beyond full scale there is no level at which to ask for it.
      .slice(0, room.kneeLevel_dB > 0 ? 0 : 1)
      .map(
        ({ floor_percent, least_percent }) =>
          `Residual of the bench at this level: ${percent(floor_percent)} at 1 kHz; it reads THD+N from ${percent(least_percent)} up.`,
      ),
    `${watts(unit.power_W)}: ${known}.`,
  ];
}

function ratioWords({
  ratio: present,
  ratioRange: [least, most],
  preferredRatio,
  ratioFits,
  kneeLevel_dB,
}: Headroom) {
  if (most < 1)
    return `Attenuator: even 1:1 leaves the converter below ${AIM_dB.low} dBFS at the knee. Use a more sensitive input.`;
  const range = `between ${ratio(Math.max(1, least))} and ${ratio(most)} the converter stays within ${AIM_dB.low} and ${AIM_dB.high} dBFS at the knee`;
  if (ratioFits) return `Attenuator: 1:${ratio(present)} fits; ${range}.`;
  const advice =
    preferredRatio === null ? '' : `. Use 1:${ratio(preferredRatio)}, which also leaves room up to 1 %`;
  const side = kneeLevel_dB > AIM_dB.low ? 'too little' : 'too much';
  return `Attenuator: 1:${ratio(present)} attenuates ${side}; ${range}${advice}.`;
}

/** What the bench cannot do at this power, or that it is suitable. */
function verdicts(room: Headroom, unit: ExpectedUnit): string[] {
  const power = watts(unit.power_W);
  const mark = percent(MARK_percent);
  const [middle, ...others] = room.visible;
  const blind = others.filter(({ least_percent }) => least_percent > MARK_percent);
  const found = [
    room.kneeLevel_dB > 0 &&
      `Cannot resolve ${mark} at ${power}: the input overloads ${formatQuantity(room.kneeLevel_dB, 'dB')} below it.`,
    room.kneeLevel_dB <= 0 && !room.inputReads && `Cannot follow the unit to 1 %: the input overloads first.`,
    room.kneeLevel_dB <= 0 &&
      room.seesMark === false &&
      `Cannot resolve ${mark} at ${power}: below ${percent(middle!.least_percent)} the residual of the bench dominates.`,
    room.seesMark !== false &&
      blind.length > 0 &&
      `Cannot resolve ${mark} at ${power} at ${blind.map(({ frequency_Hz }) => formatQuantity(frequency_Hz, 'Hz')).join(', ')}.`,
    room.seesMark === null &&
      `Not known whether it resolves ${mark} at ${power}: the residual of the bench is not stated (ohmest calibrate floor).`,
    room.drive_dB > 0 && `The output is too weak even for the highest gain that the bench file assumes.`,
    !room.attenuatorStands && `The attenuator is not rated for ${formatQuantity(room.top_Vpk, 'V')} peak.`,
    room.loadStands === 'never' && `The load is not rated for ${watts(room.top_W)}, not even for seconds.`,
    room.loadStands === 'seconds' &&
      `The load takes ${watts(room.top_W)} for seconds only, with rests in between.`,
  ].filter((text) => text !== false);
  const sees = room.seesMark === true && blind.length === 0;
  return sees && found.length === 0
    ? [`Suitable: resolves ${mark} at ${power}, within all ratings.`]
    : found.map((text) => `! ${text}`);
}

import type { BenchSetup } from '../../bench/bench-setup.js';
import type { CalibratedPart } from '../../calibration/calibrated-parts.js';
import { type ChannelChain, loadVoltsPerUnit } from '../../calibration/chain.js';
import { type ExpectedUnit, type Headroom, MARK_percent, OVER_KNEE_dB } from '../../calibration/headroom.js';
import type { BenchSurvey, LoadReach } from '../../calibration/survey.js';

/** A bench looked over, as scripts see it. */
export function benchDocument(
  setup: BenchSetup,
  found: BenchSurvey,
  asked: { readonly unit: ExpectedUnit; readonly channels: readonly Headroom[] } | null,
): object {
  return {
    bench: setup.name,
    file: setup.path,
    bench_sha256: setup.sha256,
    kind: setup.kind,
    rate_Hz: setup.rate_Hz,
    third_harmonic_up_to_Hz: found.thirdHarmonic_Hz,
    assumed_gain_dB: setup.assumedGain_dB,
    day: setup.day,
    holds_until: found.holdsUntil,
    channels: setup.channels.map((chain) => channelDocument(chain, found.reaches)),
    parts: found.parts.map(partDocument),
    overdue: [...new Set(found.parts.flatMap(({ overdue, record }) => (overdue ? [record!.id] : [])))],
    assumptions: found.assumed,
    for: asked && {
      power_W: asked.unit.power_W,
      load_ohm: asked.unit.load_ohm,
      one_percent_above_knee_dB: OVER_KNEE_dB,
      channels: asked.channels.map(headroomDocument),
    },
  };
}

function channelDocument(chain: ChannelChain, reaches: readonly LoadReach[]): object {
  const { channel, current } = chain;
  const atLoad_Vpk = loadVoltsPerUnit(chain);
  return {
    channel,
    output: { channel: chain.output, full_scale_Vpk: chain.outputFullScale_Vpk },
    attenuator: { ratio: chain.attenuator_ratio, rating_Vpk: chain.attenuatorRating_Vpk },
    input: {
      channel: chain.input,
      full_scale_Vpk: chain.inputFullScale_Vpk,
      full_scale_at_load_Vpk: atLoad_Vpk,
      full_scale_at_load_Vrms: atLoad_Vpk / Math.SQRT2,
    },
    current_tap: current && {
      channel: current.input,
      shunt_ohm: current.shunt_ohm,
      full_scale_Vpk: current.fullScale_Vpk,
      full_scale_Apk: current.fullScale_Vpk / current.shunt_ohm,
    },
    loads: reaches.filter((reach) => reach.channel === channel).map(reachDocument),
  };
}

function reachDocument(reach: LoadReach): object {
  return {
    load_ohm: reach.load_ohm,
    load_measured_ohm: reach.measured_ohm,
    input_reads_Vrms: reach.input_Vrms,
    input_reads_W: reach.input_W,
    attenuator_stands_Vrms: reach.attenuator_Vrms,
    attenuator_stands_W: reach.attenuator_W,
    load_continuous_W: reach.continuous_W,
    load_short_W: reach.short_W,
    most_W: reach.most_W,
    most_Vrms: reach.most_Vrms,
    decided_by: reach.decides,
    power_uncertainty_percent: reach.uncertainty_percent,
  };
}

function partDocument(part: CalibratedPart): object {
  const { record } = part;
  return {
    part: part.kind,
    channel: part.channel,
    load_ohm: part.load_ohm,
    record: record?.id ?? null,
    record_sha256: record?.sha256 ?? null,
    date: record?.date ?? null,
    due: record?.due ?? null,
    overdue: part.overdue,
    uncertainty_percent: part.expanded_percent,
    coverage_factor: part.coverage_factor,
    uncertainty_dB: part.expanded_dB,
    limits_dB: part.limits_dB,
    limits_ppm: part.limits_ppm,
    thdn_percent: part.thdn_percent,
  };
}

function headroomDocument(room: Headroom): object {
  const [least, most] = room.ratioRange;
  return {
    channel: room.channel,
    knee_Vrms: room.knee_Vrms,
    knee_level_dB: room.kneeLevel_dB,
    one_percent_W: room.top_W,
    one_percent_Vpk: room.top_Vpk,
    one_percent_level_dB: room.topLevel_dB,
    attenuator: {
      ratio: room.ratio,
      least_ratio: least,
      most_ratio: most,
      preferred_ratio: room.preferredRatio,
      fits: room.ratioFits,
      stands_it: room.attenuatorStands,
    },
    input_reads_it: room.inputReads,
    load_stands_it: room.loadStands,
    drive_Vrms: room.drive_Vrms,
    drive_level_dB: room.drive_dB,
    least_gain_dB: room.leastGain_dB,
    visible: room.visible.map(({ frequency_Hz, floor_percent, least_percent }) => ({
      frequency_Hz,
      floor_thdn_percent: floor_percent,
      least_thdn_percent: least_percent,
    })),
    mark_percent: MARK_percent,
    sees_mark: room.seesMark,
    uncertainty_W: room.uncertainty_W,
  };
}

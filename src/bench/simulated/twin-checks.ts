import type { z } from 'zod';
import type { TwinDocument } from './twin-schema.js';

type Context = z.core.$RefinementCtx<TwinDocument>;

function complain(context: Context, path: (string | number)[], message: string): void {
  context.addIssue({ code: 'custom', path, message });
}

/** What no single key can tell: contradictions between keys. Each message says what would be right. */
export function checkTwin(twin: TwinDocument, context: Context): void {
  checkSupply(twin, context);
  checkHeat(twin, context);
  checkChannelNumbers(twin, context);
  checkHeadroom(twin, context);
}

function checkSupply({ supply }: TwinDocument, context: Context): void {
  const given = [supply.regulated, supply.unregulated].filter((kind) => kind !== undefined).length;
  if (given !== 1) {
    const wrong = given === 0 ? 'neither is given' : 'not both';
    complain(context, ['supply'], `the supply is one of two kinds; give regulated or unregulated: ${wrong}`);
  }
  if (supply.negative !== undefined && supply.regulated === undefined) {
    complain(context, ['supply', 'negative'], 'only a regulated supply has a negative rail of its own');
  }
  if (supply.unregulated && rail_V(supply) === 0) {
    complain(
      context,
      ['supply', 'unregulated', 'secondary'],
      "the rectifier never conducts; the secondary's peak must stand above rectifier_drop",
    );
  }
}

function checkHeat({ heat, dc_fault: fault }: TwinDocument, context: Context): void {
  if (heat?.restart !== undefined && !(heat.restart < (heat.shutdown ?? Number.NEGATIVE_INFINITY))) {
    complain(context, ['heat', 'restart'], 'restart goes with a shutdown temperature and lies below it');
  }
  if (heat?.shutdown !== undefined && heat.shutdown <= (heat.ambient ?? 25)) {
    complain(
      context,
      ['heat', 'shutdown'],
      'the unit is too hot from the start; shutdown lies above ambient',
    );
  }
  if (fault && fault.after === undefined && fault.above === undefined) {
    complain(context, ['dc_fault'], 'the fault never comes; give after (a time) or above (a temperature)');
  }
}

function checkChannelNumbers(twin: TwinDocument, context: Context): void {
  const most = twin.channels ?? 64;
  const lists = [
    { at: ['overrides'], list: twin.overrides },
    { at: ['truth', 'channels'], list: twin.truth?.channels },
  ];
  for (const { at, list } of lists) {
    const seen = new Set<number>();
    list?.forEach(({ channel }, i) => {
      const path = [...at, i, 'channel'];
      if (channel > most) complain(context, path, `the twin has ${most} channels only`);
      if (seen.has(channel))
        complain(context, path, `channel ${channel} is overridden twice; put it in one place`);
      seen.add(channel);
    });
  }
  if (twin.dc_fault && twin.dc_fault.channel > most) {
    complain(context, ['dc_fault', 'channel'], `the twin has ${most} channels only`);
  }
}

/** Rail without load, the lower of the two. */
function rail_V(supply: TwinDocument['supply']): number {
  const { regulated, negative, unregulated } = supply;
  if (!unregulated) return Math.min(regulated ?? 0, negative ?? regulated ?? 0);
  const { mains, nominal_mains = mains, secondary, rectifier_drop = 0 } = unregulated;
  if (mains === 0) return 0;
  return Math.max(0, (Math.SQRT2 * secondary * mains) / nominal_mains - rectifier_drop);
}

function checkHeadroom(twin: TwinDocument, context: Context): void {
  const rail = rail_V(twin.supply);
  if (rail === 0) return;
  const places = [
    { at: [] as (string | number)[], channel: twin },
    ...(twin.overrides ?? []).map((channel, i) => ({ at: ['overrides', i], channel })),
  ];
  for (const { at, channel } of places) {
    for (const key of ['drop', 'negative_drop'] as const) {
      const drop = channel.output?.[key] ?? 0;
      if (drop >= rail) {
        complain(
          context,
          [...at, 'output', key],
          `nothing is left of a rail of ${rail.toFixed(1)} V; give less`,
        );
      }
    }
    const { curvature } = channel;
    if (!curvature) continue;
    const cube = (0.04 * (curvature.third ?? 0)) / (2 * curvature.at ** 2);
    const square = (0.02 * (curvature.second ?? 0)) / (Math.SQRT2 * curvature.at);
    if (2 * square * rail + 3 * cube * rail ** 2 >= 1) {
      complain(
        context,
        [...at, 'curvature'],
        `so much curvature bends back before the rail of ${rail.toFixed(1)} V; give less, or a higher at`,
      );
    }
  }
}

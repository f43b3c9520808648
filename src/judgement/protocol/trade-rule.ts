/**
 * The US trade rule for home amplifiers as data: it has changed before and will again. Values by the published summary
 * of the final rule and by the text of 2006 to 2015 where 2024 left it alone; paragraph letters of 2024 not verified.
 */
export const TRADE_RULE = {
  name: '16 CFR Part 432 as amended in 2024 (89 FR 49797, in force 2024-08-12)',
  load_ohm: 8,
  low_Hz: 20,
  high_Hz: 20_000,
  limit_percent: 1,
  from_W: 0.25,
  channels: 2,
  preconditioning: { share: 1 / 8, seconds: 3600, frequency_Hz: 1000 },
  dwell_s: 300,
  ambient_degC: 25,
  /** At home, and for sets sold abroad. */
  mains_V: [120, 230],
} as const;

/** To be printed wherever the check is. */
export const NO_FINDING =
  'This compares a measurement on a bench with the conditions of a rule. It is not a legal finding. It does not state whether anybody complies with the rule.';

/** The words that the rule prescribes for ratings taken otherwise (16 CFR 432.4(a), 89 FR 49802). */
export const OPTIONAL_RATING_LABEL = 'This rating was not tested under the FTC standard';

import type { LatestReading, RunView, ViewCurve } from '../../../src/view/run-view.js';

/** A climb on two channels as it stands half way. */
export function viewOf(changes: Partial<RunView> = {}): RunView {
  return {
    run: 7,
    unit: 'Invented pair',
    bench: 'Invented bench',
    simulated: true,
    sequence: 'Rated power',
    claim: '100 W into 8 ohm',
    claim_W: 100,
    started: '2026-01-01T00:00:00.000Z',
    armed: ['More than 2.00 V of DC at a load.', 'More than 13 min of time.', 'More than 74 kJ.'],
    state: 'running',
    reason: '',
    steps: [
      { id: 'ready', words: 'ask: ready?', stage: 'done' },
      { id: 'first', words: 'climb at 997 Hz from 50.0 mW, mark 0.1 % and 1 %', stage: 'now' },
      { id: 'band', words: 'ceiling of 0.1 % at 31 frequencies', stage: 'ahead' },
    ],
    now: {
      step: 'first',
      point: 5,
      frequency_Hz: 997,
      power_W: [50, 49],
      thdn_percent: [0.01, 0.02],
      level_dB: -12.34,
      done: 0.25,
      left_s: 83,
    },
    curve: curveOf('climb'),
    latest: [latestOf(1), latestOf(2)],
    points: 4,
    found: [],
    events: [
      { at_s: 0, kind: 'step', text: 'first' },
      { at_s: 62, kind: 'gain', text: 'channel 1: gain 25.90 dB at low level' },
    ],
    question: null,
    ...changes,
  };
}

export const latestOf = (channel: number, changes: Partial<LatestReading> = {}): LatestReading => ({
  channel,
  power_W: 10.5 * channel,
  voltage_V: 3.25 * channel,
  thdn_percent: 0.011 * channel,
  flags: [],
  ...changes,
});

export const curveOf = (stepKind: ViewCurve['stepKind'], changes: Partial<ViewCurve> = {}): ViewCurve => ({
  step: 'first',
  stepKind,
  load_ohm: 8,
  driven: [1, 2],
  thresholds_percent: [0.1, 1],
  dots: [
    { channel: 1, frequency_Hz: 997, power_W: 0.1, thdn_percent: 0.02, at_s: 10 },
    { channel: 2, frequency_Hz: 997, power_W: 0.1, thdn_percent: 0.02, at_s: 10 },
    { channel: 1, frequency_Hz: 997, power_W: 10, thdn_percent: 0.005, at_s: 20 },
    { channel: 2, frequency_Hz: 997, power_W: 10, thdn_percent: 0.02, at_s: 20 },
  ],
  ...changes,
});

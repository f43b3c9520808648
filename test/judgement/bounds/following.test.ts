import { describe, expect, it } from 'vitest';
import { comesBack, requestedInVain, stoppedFollowing } from '../../../src/judgement/bounds/following.js';
import { type Trial, trialsOf } from '../../../src/judgement/bounds/trials.js';
import { madeRun } from '../made-run.js';

const [TEMPLATE] = trialsOf(
  madeRun([{ step: 's', kind: 'climb', nominal_Hz: 1000, trials: [{ power_W: 10, percent: 0.01 }] }]),
  'THD+N',
);

/** Trials in the order played: drive in dB, gain in dB (output over drive, so that their sum is in dBW), distortion in percent. */
const played = (...trials: readonly (readonly [number, number, number?])[]): Trial[] =>
  trials.map(([level_dB, gain_dB, distortion = 0.01], i) => ({
    point: { ...TEMPLATE!.point, number: i + 1, level_dB },
    reading: { ...TEMPLATE!.reading, power_W: 10 ** ((level_dB + gain_dB) / 10), gain_dB },
    distortion,
  }));
const watts = (dBW: number) => expect.closeTo(10 ** (dBW / 10), 9);

describe('stoppedFollowing', () => {
  it('tells a limiter: more drive gives the same power', () => {
    expect(stoppedFollowing(played([-40, 30], [-30, 30], [-20, 30], [-19, 29], [-18, 28]))).toEqual({
      delivered_W: watts(10),
      // What the highest drive would give: -18 + 30 dBW.
      linear_W: watts(12),
      behind_dB: 2,
      percent: 0.01,
      flat: true,
      peak_W: null,
      points: [4, 5],
    });
  });

  it('calls nothing flat that stood still over less than 0.9 dB of drive, or still rises by a tenth of the drive', () => {
    expect(stoppedFollowing(played([-20, 30], [-19, 29], [-18.2, 28.2]))?.flat).toBe(false);
    expect(stoppedFollowing(played([-20, 30], [-19, 29], [-18.05, 28.05]))?.flat).toBe(true);
    // The last lies 2 dB of drive above the first that stays behind; 0.1 of that is 0.2 dB of output.
    expect(stoppedFollowing(played([-20, 30], [-19, 29], [-17, 27.19]))?.flat).toBe(true);
    expect(stoppedFollowing(played([-20, 30], [-19, 29], [-17, 27.21]))?.flat).toBe(false);
    expect(stoppedFollowing(played([-20, 30], [-19, 29], [-17, 26.79]))?.flat).toBe(false);
  });

  it('is nothing where output follows to the end, or where one level was played', () => {
    expect(stoppedFollowing(played([-30, 30], [-20, 29.71]))).toBeNull();
    expect(stoppedFollowing(played([-30, 30], [-20, 29.69]))).not.toBeNull();
    expect(stoppedFollowing(played([-20, 30]))).toBeNull();
    expect(stoppedFollowing([])).toBeNull();
  });

  it('leaves to clipping 0.35 dB for each percent, and looks at nothing above 10 %', () => {
    expect(stoppedFollowing(played([-30, 30], [-20, 29.36, 1]))).toBeNull();
    expect(stoppedFollowing(played([-30, 30], [-20, 29.34, 1]))?.points).toEqual([2]);
    expect(stoppedFollowing(played([-30, 30], [-20, 20, 10]))).not.toBeNull();
    expect(stoppedFollowing(played([-30, 30], [-21, 30], [-20, 20, 10.1]))).toBeNull();
  });

  it('sorts by drive, and names what was behind from the last that followed on', () => {
    expect(stoppedFollowing(played([-18, 28], [-30, 30], [-25, 29], [-20, 30], [-19, 29]))?.points).toEqual([
      5, 1,
    ]);
  });

  it('bounds a peak that lies between the drives: output rises no faster than the drive', () => {
    // From 11 dBW one more decibel of drive; from 10 dBW it would be the peak itself.
    expect(stoppedFollowing(played([-20, 30], [-19, 30], [-18, 28]))).toMatchObject({
      flat: false,
      delivered_W: watts(11),
      peak_W: watts(12),
    });
    // From 4 dBW 6 dB to the highest; from there only 0.5 dB.
    expect(stoppedFollowing(played([-26, 30], [-20, 29.2], [-19.5, 28]))?.peak_W).toEqual(watts(10));
    // It may fall further.
    expect(stoppedFollowing(played([-20, 30], [-19, 28], [-18, 26]))?.peak_W).toEqual(watts(11));
    // The first is the highest.
    expect(stoppedFollowing(played([-20, 30], [-19, 28.5]))?.peak_W).toEqual(watts(11));
  });

  it('sees no peak where output still rises, falls by less than 0.3 dB, or goes down and up', () => {
    expect(stoppedFollowing(played([-20, 30], [-18, 29], [-16, 28]))?.peak_W).toBeNull();
    expect(stoppedFollowing(played([-20, 30], [-18, 27.71]))?.peak_W).toBeNull();
    expect(stoppedFollowing(played([-20, 30], [-18, 27.69]))?.peak_W).toEqual(watts(12));
    expect(stoppedFollowing(played([-20, 30], [-19, 27.5], [-18, 27]))?.peak_W).toBeNull();
  });
});

describe('comesBack', () => {
  it('wants output that had stopped to follow again, later and at less', () => {
    expect(comesBack(played([-30, 30], [-20, 28], [-25, 30]))).toBe(true);
    expect(comesBack(played([-30, 30], [-20, 28]))).toBe(false);
    expect(comesBack(played([-30, 30], [-20, 28], [-25, 28]))).toBe(false);
    expect(comesBack(played([-30, 30], [-20, 28], [-20, 30]))).toBe(false);
    // At less than the lowest drive at which it was behind, from the first time on.
    expect(comesBack(played([-30, 30], [-20, 28], [-24, 28], [-22, 30]))).toBe(false);
    expect(comesBack(played([-30, 30], [-20, 28], [-24, 30], [-22, 28]))).toBe(true);
    expect(comesBack(played([-30, 30], [-20, 30]))).toBe(false);
  });
});

describe('requestedInVain', () => {
  const [trial] = played([-20, 30]);
  const asked = (change: { asked_W?: number | null; flags?: []; distortion?: number }) =>
    requestedInVain({
      point: { ...trial!.point, asked_W: change.asked_W === undefined ? 20 : change.asked_W },
      reading: { ...trial!.reading, flags: change.flags ?? ['power-not-reached'] },
      distortion: change.distortion ?? 0.5,
    });

  it('sets what was delivered beside what was requested', () => {
    expect(asked({})).toEqual({
      delivered_W: 10,
      linear_W: 20,
      behind_dB: expect.closeTo(10 * Math.log10(2), 9),
      percent: 0.5,
      flat: false,
      peak_W: null,
      points: [1],
    });
  });

  it('is nothing without a request, without the flag, or where distortion tells of clipping', () => {
    expect(asked({ asked_W: null })).toBeNull();
    expect(asked({ flags: [] })).toBeNull();
    expect(asked({ distortion: 0.51 })).toBeNull();
  });
});

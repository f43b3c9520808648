import { describe, expect, it } from 'vitest';
import type { SensorSetup } from '../../src/bench/sensor.js';
import { armedTrips } from '../../src/safety/armed-trips.js';
import { courseLimits } from '../../src/safety/course-limits.js';
import { formatQuantity } from '../../src/units/format.js';
import { planOf, stand } from './stand.js';

const probe = (changes: Partial<SensorSetup>): SensorSetup => ({
  name: 'heatsink',
  unit: '°C',
  every_s: 10,
  timeout_s: 5,
  high: null,
  low: null,
  needed: false,
  source: { kind: 'program', argv: ['read-heatsink'] },
  ...changes,
});
const CLIMB = planOf('climb: {frequency: 1 kHz, from: 1 W}');

describe('armedTrips', () => {
  it('names the limits that hold for this plan on this bench', () => {
    const text = armedTrips(CLIMB, { ...stand, dropoutLimit: 7 }).join('\n');
    expect(text).toContain('More than 2.00 V of DC at a load, if the inputs pass DC');
    expect(text).toContain(
      `More than ${formatQuantity(courseLimits(CLIMB, stand).energy_J, 'J')} into all loads`,
    );
    expect(text).toContain('105 % of its continuous rating');
    expect(text).toContain('More than 7 captures with lost samples.');
    expect(text).not.toContain('Sensor');
  });

  it('names of a probe what it is armed with, and nothing of one that has no limit and is not needed', () => {
    const sentences = (changes: Partial<SensorSetup>) =>
      armedTrips(CLIMB, { ...stand, sensors: [probe(changes)] }).filter((line) => line.startsWith('Sensor'));
    expect(sentences({ high: 85, needed: true })).toEqual([
      'Sensor heatsink above 85 °C, or silent for 30 s.',
    ]);
    expect(sentences({ high: 85, low: -3 })).toEqual(['Sensor heatsink below -3 °C, or above 85 °C.']);
    expect(sentences({})).toEqual([]);
  });

  it('is empty for a plan that plays nothing', () => {
    expect(armedTrips(planOf('rest: 10 s'), stand)).toEqual([]);
  });
});

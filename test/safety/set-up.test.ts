import { describe, expect, it } from 'vitest';
import { correction, firstSetUp, setUp } from '../../src/safety/set-up.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { isWired, type WiredStep } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { bench, chain, load } from '../sequence/bench-fixture.js';

/** Four channels with loads of 8 and 4 ohm; channel n reads through input `inputs[n - 1]`. */
const withInputs = (inputs: readonly number[]) =>
  bench(inputs.length, {
    channels: inputs.map((input, i) => chain(i + 1, { input, loads: [load(8), load(4)] })),
  });

/** What is asked before each step that needs loads. */
function prompts(inputs: readonly number[], ...steps: string[]): (string | null)[] {
  const text = `name: t\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`;
  const plan = makePlan(readSequence(text, 's.yaml'), withInputs(inputs));
  const wired = plan.steps.filter(isWired);
  return wired.map(
    (step: WiredStep, i) => setUp(step, wired[i - 1] ?? null, plan, withInputs(inputs))?.connect.text ?? null,
  );
}

const CAUTION = 'Measure that its outputs carry no voltage before you touch them: supplies stay charged.';
const LATER = `${CAUTION} Let the loads cool before you handle them.`;

describe('setUp', () => {
  it('names every channel that any step drives at first, without talk of hot loads, and then asks nothing', () => {
    expect(
      prompts(
        [1, 2, 3],
        'climb: {frequency: 1 kHz, driven: one}',
        'climb: {frequency: 1 kHz, driven: [1, 3]}',
        'climb: {frequency: 2 kHz, driven: one}',
      ),
    ).toEqual([
      `Switch the unit off. ${CAUTION} Connect 8 ohm to each of channels 1 and 3, with the tap of each at the load's own terminals. Leave the unit off. Done?`,
      null,
      null,
    ]);
  });

  it('names one channel as one', () => {
    expect(prompts([1], 'climb: {frequency: 1 kHz}')).toEqual([
      `Switch the unit off. ${CAUTION} Connect 8 ohm to channel 1, with its tap at the load's own terminals. Leave the unit off. Done?`,
    ]);
  });

  it('says which load goes in place of which, with cautions, to the channels that will get it', () => {
    expect(
      prompts([1, 2], 'climb: {frequency: 1 kHz}', 'climb: {frequency: 1 kHz, load: 4 ohm, driven: one}')[1],
    ).toBe(
      `Switch the unit off. ${LATER} Connect 4 ohm to channel 1 in place of 8 ohm, with its tap at the load's own terminals. Leave the unit off. Done?`,
    );
  });

  it('asks for the mains alone when only that changes, and for the wall again', () => {
    const [first, raised, wall] = prompts(
      [1],
      'climb: {frequency: 1 kHz, mains: 120 V}',
      'climb: {frequency: 1 kHz, mains: 230 V}',
      'climb: {frequency: 1 kHz}',
    );
    const set = (volts: string) =>
      `Set the mains of the unit to ${volts} with a variable transformer that can carry its current, within the range on the unit's nameplate, and check it with a meter. Such a transformer does not isolate, and limits no current.`;
    expect(first).toContain(set('120 V'));
    expect(raised).toBe(`Switch the unit off. ${LATER} ${set('230 V')} Leave the unit off. Done?`);
    expect(wall).toBe(
      `Switch the unit off. ${LATER} Take out the variable transformer, so that the unit runs directly on the mains. Leave the unit off. Done?`,
    );
  });

  it('says which tap goes where when channels share inputs', () => {
    expect(prompts([1, 2, 1, 2], 'climb: {id: c, frequency: 1 kHz}')).toEqual([
      `Switch the unit off. ${CAUTION} Connect 8 ohm to each of channels 1 to 4. Put the taps at the load's own terminals: that of input 1 at channel 1 and that of input 2 at channel 2. Leave the unit off. Done?`,
      `Switch the unit off. ${LATER} Put the taps at the load's own terminals: that of input 1 at channel 3 and that of input 2 at channel 4. Leave the unit off. Done?`,
    ]);
  });

  it('moves only the taps that must move', () => {
    // Input 2 is that of channel 2 alone: its tap stays where it is.
    expect(prompts([1, 2, 1], 'climb: {id: c, frequency: 1 kHz}')[1]).toBe(
      `Switch the unit off. ${LATER} Put the tap at the load's own terminals: that of input 1 at channel 3. Leave the unit off. Done?`,
    );
  });

  it('names all taps again when the loads under them change', () => {
    const climbs = ['climb: {frequency: 1 kHz}', 'climb: {frequency: 1 kHz, load: 4 ohm}'];
    const [, , change] = prompts([1, 1], ...climbs);
    expect(change).toBe(
      `Switch the unit off. ${LATER} Connect 4 ohm to each of channels 1 and 2 in place of 8 ohm. Put the tap at the load's own terminals: that of input 1 at channel 2. Leave the unit off. Done?`,
    );
  });

  it('names everything that a run which is taken up in the middle needs', () => {
    const text =
      'name: t\nload: 8 ohm\nmains: 230 V\nsteps:\n  - climb: {frequency: 1 kHz}\n  - climb: {frequency: 2 kHz}\n';
    const plan = makePlan(readSequence(text, 's.yaml'), withInputs([1, 2]));
    const { connect } = setUp(plan.steps[1] as WiredStep, null, plan, withInputs([1, 2]))!;
    expect(connect.text).toContain('Connect 8 ohm to each of channels 1 and 2');
    expect(connect.text).toContain('Set the mains of the unit to 230 V');
  });
});

describe('what is confirmed on connections', () => {
  const stood = withInputs([1, 2]);
  const plan = (...steps: string[]) =>
    makePlan(
      readSequence(
        `name: t\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`,
        's.yaml',
      ),
      stood,
    );
  const changed = (...steps: string[]) => {
    const laidOut = plan(...steps);
    const [first, second] = laidOut.steps.filter(isWired);
    return setUp(second!, first!, laidOut, stood)!;
  };

  it('comes after the connections are made and before the unit is switched on', () => {
    const { connect, checks, switchOn } = firstSetUp(plan('climb: {frequency: 1 kHz}'), stood)!;
    expect(connect.text).toMatch(/Switch the unit off.*Leave the unit off\. Done\?$/);
    expect(checks.map(({ text }) => text).join(' ')).toMatch(/loudspeaker.*label.*attenuator.*covered/s);
    for (const { text } of checks) expect(text).not.toMatch(/switch the unit on/i);
    expect(switchOn.text).toMatch(/switch the unit on/);
    for (const { about } of [connect, ...checks, switchOn]) expect(about).toBe('set-up');
  });

  it('is confirmed again when loads change, with the rating of the new ones only', () => {
    const { checks } = changed('climb: {frequency: 1 kHz}', 'climb: {frequency: 1 kHz, load: 4 ohm}');
    expect(checks[1]!.text).toMatch(/^Does the label on every load state a continuous rating/);
    for (const { about } of checks) expect(about).toBe('change');
  });

  it('leaves the loads out where only the mains change: nothing else was touched', () => {
    const { checks, switchOn } = changed(
      'climb: {frequency: 1 kHz}',
      'climb: {frequency: 1 kHz, mains: 230 V}',
    );
    expect(checks).toEqual([]);
    expect(switchOn.text).toMatch(/switch the unit on/);
  });

  it('is confirmed in full after a correction', () => {
    const laidOut = plan('climb: {frequency: 1 kHz}');
    const wrong = correction(['channel 2 is dead'], laidOut.steps.find(isWired)!, laidOut, stood);
    expect(wrong.connect.text).toMatch(/channel 2 is dead\. Switch the unit off\./);
    expect(wrong.checks).toHaveLength(firstSetUp(laidOut, stood)!.checks.length);
    expect(wrong.connect.about).toBe('correction');
  });
});

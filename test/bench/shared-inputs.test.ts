import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { DocumentError } from '../../src/schema/document-error.js';

const channel = (output: number, input: number, more = '', fullScale = '2 V rms') =>
  `  - output: {channel: ${output}, full_scale: 2 V rms}
    input: {channel: ${input}, full_scale: ${fullScale}}
    attenuator: {ratio: 20}
    load: {nominal: 8 ohm}
${more}`;

const file = (top: string, ...channels: string[]) =>
  `name: t\n${top}interface: {kind: simulated, twin: ideal-40, rate: 48 kHz}\nchannels:\n${channels.join('')}`;

const inputs = (text: string) => readBench(text, 'benches/b.yaml').channels.map(({ input }) => input);

function complaint(text: string): string {
  try {
    inputs(text);
  } catch (error) {
    if (error instanceof DocumentError) return error.message;
    throw error;
  }
  throw new Error('the bench was accepted');
}

describe('inputs that channels take turns at', () => {
  const four = [channel(1, 1), channel(2, 2), channel(3, 1), channel(4, 2)];

  it.each(['yes', 'true'])('are allowed when the bench says shared_inputs: %s', (word) => {
    expect(inputs(file(`shared_inputs: ${word}\n`, ...four))).toEqual([1, 2, 1, 2]);
  });

  it.each(['', 'shared_inputs: no\n', 'shared_inputs: false\n'])('are a slip without it (%j)', (top) => {
    expect(complaint(file(top, ...four))).toContain(
      "interface input 1 is used by channel 1 and by channel 3; give each channel its own, or write 'shared_inputs: yes' when its tap is moved by hand",
    );
  });

  it('keep outputs apart all the same', () => {
    expect(complaint(file('shared_inputs: yes\n', channel(1, 1), channel(1, 2)))).toContain(
      'interface output 1 is used by channel 1 and by channel 2; give each channel its own',
    );
  });

  it('have one full scale', () => {
    expect(complaint(file('shared_inputs: yes\n', channel(1, 1), channel(2, 1, '', '4 V rms')))).toContain(
      'channels[2].input: channels 1 and 2 share input 1 but give it different full scales; one input has one full scale',
    );
  });

  it('are not shared between a tap and a current shunt', () => {
    const current = '    current: {channel: 2, full_scale: 1 V rms, shunt: 0.1 ohm}\n';
    const text = file('shared_inputs: yes\n', channel(1, 1, current), channel(2, 2));
    expect(complaint(text)).toContain(
      'interface input 2 is used by channel 2 and by the current shunt of channel 1; give taps and current shunts inputs of their own',
    );
  });
});

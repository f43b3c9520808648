/**
 * Everything a reading can warn about: the one place where flags are listed and worded.
 * Code elsewhere carries only the code.
 */
export const FLAGS = {
  'harmonics-out-of-band':
    'the third harmonic lies outside the measuring band, so distortion may be far higher than shown',
  'no-harmonic-in-band': 'no harmonic lies inside the measuring band: there is no THD figure',
  'not-settled': 'the output was still changing when the waiting time ran out',
  'gap-in-capture':
    'the wave breaks: samples were lost or doubled during the capture, or the unit itself makes sudden kinks',
  'break-in-step':
    'the wave breaks in several captures in a row, but the tone stays in step: no sample is missing, the unit itself makes sudden kinks',
  'clipped-capture': 'the converter reached its rails: the reading is a lower bound for distortion',
  'near-input-rail': 'the converter was within 1 dB of its rails',
  'clock-mismatch':
    'playback and capture clocks differ: the figures come from a sine fit, not from whole cycles',
  'floor-limited':
    'within 6 dB of what the bench reads with no unit connected: the true distortion may be lower',
  'power-not-reached':
    'the unit did not give the requested power at this frequency, even with 1 dB more drive than its gain requires',
  'less-at-same-drive':
    'the unit gives over 0.1 dB less than the requested power at this frequency; the step keeps the drive constant',
  'tone-not-strongest':
    'hum, noise or distortion in the band is stronger than the tone: what was found may not be the test tone',
  'dc-exceeds-tone': 'the DC is larger than the peak of the tone',
  uncalibrated: 'the bench file states no uncertainty for some part of the chain, so none is given here',
  'calibration-overdue': 'a calibration record that this figure rests on was past its due date',
  'load-differs':
    'the current shunt shows a load resistance other than stated, by more than 5 % or more than its uncertainty: check what is connected',
  'load-off-nominal':
    'the load measures over 10 % more or less than its nominal value, as the bench file confirms: the power is that into the measured ohms',
  'not-as-before':
    'earlier in this run the same setting gave another gain, or less than half the noise: the unit, its load or the bench has changed',
  unaligned:
    'the start marker was not heard, so the delay between playing and capturing is assumed, not measured',
  'no-tone': 'no test tone was found in this channel',
  'not-known':
    'a later version of the program has flagged this reading, for a reason that this version does not know',
} as const;

export type FlagCode = keyof typeof FLAGS;

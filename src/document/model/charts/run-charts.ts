import type { Chart } from '../block.js';
import type { ChartGround } from './chart-ground.js';
import { climbCharts } from './climb-chart.js';
import { holdCharts } from './hold-chart.js';
import { maxPowerCharts } from './max-power-chart.js';
import { sensorCharts } from './sensor-chart.js';
import { spectrumCharts } from './spectrum-chart.js';
import { sweepCharts } from './sweep-chart.js';

/** All charts of a run, those over the whole band first. */
export const runCharts = (ground: ChartGround): Chart[] => [
  ...maxPowerCharts(ground),
  ...climbCharts(ground),
  ...sweepCharts(ground),
  ...holdCharts(ground),
  ...sensorCharts(ground),
  ...spectrumCharts(ground),
];

import { findingsOf } from '../../../record/findings-of.js';
import type { Block, Chart } from '../block.js';
import { stepSections } from '../step-sections.js';
import type { ChartGround } from './chart-ground.js';
import { sensorCharts } from './sensor-chart.js';

/** All charts of a run: those of its steps, kind by kind, and those of its sensors. */
export const runCharts = (ground: ChartGround): Chart[] => [
  ...stepSections(ground, findingsOf(ground.record)).flatMap(({ blocks }) => chartsIn(blocks)),
  ...sensorCharts(ground),
];

const chartsIn = (blocks: readonly Block[]): Chart[] =>
  blocks.flatMap((block) => {
    if (block.kind === 'chart') return [block];
    return block.kind === 'details' ? chartsIn(block.blocks) : [];
  });

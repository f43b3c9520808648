import type { Axis } from '../block.js';

/** The axes that charts of runs are declared on. */
export const FREQUENCY: Axis = { name: 'Frequency, Hz', unit: 'Hz', scale: 'log', ends: 'close' };
export const POWER_ACROSS: Axis = { name: 'Power per channel, W', unit: 'W', scale: 'log', ends: 'close' };
export const POWER_UP: Axis = { name: 'Power per channel, W', unit: 'W', scale: 'linear', zooms: true };
export const THDN: Axis = { name: 'THD+N, %', unit: '%', scale: 'log' };
export const TIME: Axis = { name: 'Time', unit: 's', scale: 'linear', from: 0, ends: 'close' };

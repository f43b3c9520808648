import { FLAGS } from '../../../measure/flags.js';
import { formatQuantity } from '../../../units/format.js';
import type { LatestReading, RunView } from '../../run-view.js';
import { byId, element, setText } from './dom.js';

/** Shows what each channel gave at the last point. Every figure stands in the page whole, too, as its value. */
export function showReadings({ latest, points }: RunView): void {
  setText(byId('readings-about'), points === 0 ? 'None yet.' : `Point ${points}.`);
  byId('readings').replaceChildren(...latest.map(row));
  const flags = [...new Set(latest.flatMap((reading) => reading.flags))];
  byId('remarks').replaceChildren(...flags.map((flag) => element('li', '', `${flag}: ${FLAGS[flag] ?? ''}`)));
}

function row({ channel, power_W, voltage_V, thdn_percent, flags }: LatestReading): HTMLElement {
  const head = element('th', '', String(channel));
  head.setAttribute('scope', 'row');
  return element(
    'tr',
    '',
    head,
    figure(power_W, 'W'),
    figure(voltage_V, 'V'),
    figure(thdn_percent, '%'),
    element('td', '', flags.join(', ')),
  );
}

function figure(value: number, unit: 'W' | 'V' | '%'): HTMLElement {
  const exact = element('data', '', formatQuantity(value, unit));
  exact.setAttribute('value', String(value));
  return element('td', 'n', exact);
}

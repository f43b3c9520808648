import { listDevices } from '../../bench/audio/list-devices.js';
import { textTable } from '../../document/text/text-table.js';
import { wrapText } from '../../document/text/wrap-text.js';
import type { Terminal } from '../terminal/terminal.js';

/** What to look at when there is none. */
const NONE =
  'Connect the interface and switch it on. Check that the system lists it, that you may use it (on Linux: group audio), and that no other program holds it. A simulated bench needs none: `ohmest demo`.';

/** `ohmest devices`: the sound devices that can play, capture, or both. */
export async function devices(terminal: Terminal, options: { readonly json?: boolean }): Promise<number> {
  const found = await listDevices();
  if (options.json) {
    terminal.out(JSON.stringify({ devices: found }, null, 2));
    return 0;
  }
  if (found.length === 0) {
    terminal.out('no sound device that can play or capture was found');
    terminal.err(wrapText(NONE, terminal.talkWidth));
    return 0;
  }
  terminal.out(
    textTable(
      ['device', 'plays', 'captures', 'rate'],
      found.map((device) => [
        device.name,
        String(device.outputs),
        String(device.inputs),
        `${device.defaultRate_Hz} Hz`,
      ]),
    ),
  );
  return 0;
}

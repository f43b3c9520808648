/**
 * The process that holds the sound device. naudiodon prints to stdout, blocks its exit and can crash, so it lives
 * here, apart. Whatever becomes of the parent, this process ramps to silence and ends itself.
 */
import { rmdirSync, writeFileSync } from 'node:fs';
import { Socket } from 'node:net';
import { setPriority } from 'node:os';
import { HostRefusal } from './device-choice.js';
import { HostStream } from './host-stream.js';
import { devicesOf, loadNaudiodon, type Naudiodon } from './naudiodon.js';
import { CAPTURE_FD, type FromHost, PLAY_FD, type StreamRequest, type ToHost } from './protocol.js';

/** Longest time for ramp, queues and closing before the process ends itself the hard way. */
const LAST_BREATH_MS = 1000;

/** Before the measuring and everything else of this machine. */
const NICENESS = -15;

let stream: HostStream | null = null;

function tell(message: FromHost): void {
  // A parent that is gone shows up as an error here; its `disconnect` event ends the stream.
  if (process.connected) process.send!(message, () => {});
}

/** The only sure way out: exit waits for naudiodon's threads, which may never come back. */
function vanish(): void {
  try {
    // The parent clears up this folder, unless it was killed. A folder with something in it stays.
    rmdirSync(process.cwd());
  } catch {
    // Nothing depends on it.
  }
  process.kill(process.pid, 'SIGKILL');
}

function shutDown(): void {
  if (stream === null) {
    vanish();
    return;
  }
  stream.close();
  setTimeout(vanish, LAST_BREATH_MS);
}

function naudiodon(): Naudiodon {
  try {
    return loadNaudiodon();
  } catch (error) {
    const [reason] = (error as Error).message.split('\n');
    throw new HostRefusal('AUDIO_UNAVAILABLE', {
      what: `sound needs the package naudiodon, which does not load: ${reason}`,
      mend: 'Install it with `npm install naudiodon` in the folder of ohmest; it is compiled there and needs make, a C++ compiler and python3',
    });
  }
}

/** Not everybody may put himself first, nor on every system; then the sound runs like everything else. */
function raisePriority(): void {
  try {
    setPriority(NICENESS);
    // Linux shares time out between sessions first, and this process is a session of its own: that one must come
    // first, too. There a priority counts only within its session.
    writeFileSync('/proc/self/autogroup', String(NICENESS), { flag: 'r+' });
  } catch {
    // As above.
  }
}

function refuse(error: unknown): void {
  const refusal =
    error instanceof HostRefusal
      ? { code: error.code, explanation: error.explanation }
      : { code: 'DEVICE_REFUSED' as const, explanation: { what: (error as Error).message } };
  process.send!({ kind: 'failed', ...refusal } satisfies FromHost, vanish);
}

function list(): void {
  const devices = devicesOf(naudiodon()).map(({ id: _own, ...device }) => device);
  process.send!({ kind: 'devices', devices } satisfies FromHost, vanish);
}

async function open(request: StreamRequest): Promise<void> {
  const capture = new Socket({ fd: CAPTURE_FD });
  const play = new Socket({ fd: PLAY_FD });
  capture.on('error', shutDown);
  play.on('error', shutDown);
  play.on('end', shutDown);
  const opened = new HostStream(naudiodon(), request, capture, tell, vanish);
  stream = opened;
  play.on('data', (bytes) => opened.push(bytes));
  tell({ kind: 'opened' });
  await opened.run();
  vanish();
}

raisePriority();
process.on('message', (message: ToHost) => {
  try {
    if (message.kind === 'list') list();
    else if (message.kind === 'open') open(message.stream).catch(refuse);
    else if (message.kind === 'hush') stream?.hush(message.sent);
    else shutDown();
  } catch (error) {
    refuse(error);
  }
});
process.on('disconnect', shutDown);
process.on('SIGTERM', shutDown);
process.on('SIGHUP', shutDown);
// Ctrl-C reaches the whole group of processes; the parent ramps down in its own order.
process.on('SIGINT', () => {});
process.on('uncaughtException', (error) => {
  console.error(error);
  shutDown();
});

import { once } from 'node:events';
import { Worker } from 'node:worker_threads';
import { afterEach, expect, test, vi } from 'vitest';
import { openLivePage } from '../../../src/cli/run/live-page.js';
import type { Terminal } from '../../../src/cli/terminal/terminal.js';
import { RunWatch } from '../../../src/view/run-watch.js';
import { ABOUT } from '../../view/invented-about.js';

afterEach(() => void vi.useRealTimers());

/** A live page of a run that has just ended, and is about to be closed. */
async function endingPage() {
  let said = '';
  const terminal = { err: (text: string) => (said += text) } as unknown as Terminal;
  const page = await openLivePage(terminal, null, { abort: () => undefined, db: 'ohmest.db' });
  const watch = new RunWatch({ ...ABOUT, steps: [] });
  for (const watcher of page.watchers) watcher.begin(watch);
  watch.take({ kind: 'ended', outcome: 'completed', reason: 'all walked', at_s: 3 });
  for (const watcher of page.watchers) watcher.end();
  return { page, url: new URL(said.replace('live page: ', '')) };
}

/** What the gate answers to whoever shows the token. */
async function entered(url: URL) {
  const answer = await fetch(url, { redirect: 'manual' });
  return inside(url, answer.headers.get('location')!, answer.headers.get('set-cookie')!);
}

const inside = (url: URL, location: string, cookie: string) => {
  const headers = { cookie: cookie.split(';')[0]! };
  const base = `${url.origin}${location.replace(/\/$/, '')}`;
  return (path: string) => fetch(base + path, { headers });
};

/** What a browser asks for, one after the other, and that the last of it is the end of the run. */
async function followToEnd(get: (path: string) => Promise<Response>): Promise<void> {
  expect(await (await get('/')).text()).toContain('Connecting to the run.');
  expect(await (await get('/code/view/live/client/live.js')).text()).toContain('import');
  const heard = await (await get('/changes')).text();
  expect(heard).toContain('"state":"completed"');
  expect(heard).toMatch(/event: end\ndata: \{\}\n\n$/);
}

test('a page whose address was opened in the last instant still shows how the run ended; then the port is free', async () => {
  const { page, url } = await endingPage();
  const get = await entered(url);
  const closed = page.close();
  await followToEnd(get);
  await closed;
  expect(await fetch(url).catch(() => 'nobody')).toBe('nobody');
});

/** Opens the address while the thread of the run is busy: tells what was sent, then what came back. */
const OPENS = `
const { connect } = require('node:net');
const { parentPort, workerData: { port, request, sent } } = require('node:worker_threads');
const socket = connect(port, '127.0.0.1', () => socket.write(request, () => {
  Atomics.store(sent, 0, 1);
  Atomics.notify(sent, 0);
}));
socket.once('data', (data) => parentPort.postMessage(data.toString()));
socket.once('error', (error) => parentPort.postMessage(error.code));
`;

test('so does one whose request came while the run kept the program from reading it', async () => {
  const { page, url } = await endingPage();
  const sent = new Int32Array(new SharedArrayBuffer(4));
  const request = `GET ${url.pathname}${url.search} HTTP/1.1\r\nHost: ${url.host}\r\n\r\n`;
  const stranger = new Worker(OPENS, { eval: true, workerData: { port: Number(url.port), request, sent } });
  const answered = once(stranger, 'message');
  Atomics.wait(sent, 0, 0);
  const closed = page.close();
  const [answer] = (await answered) as [string];
  const field = (name: string) => new RegExp(`^${name}: (.*)\r$`, 'm').exec(answer)?.[1] ?? '';
  await followToEnd(inside(url, field('Location'), field('Set-Cookie')));
  await closed;
  await stranger.terminate();
});

test('nobody on the way, or somebody who went away again, keeps the program from ending', async () => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] });
  const alone = await endingPage();
  const seen = await endingPage();
  const get = await entered(seen.url);
  await (await get('/')).text();
  expect((await get('/changes')).status).toBe(200);
  const left = await endingPage();
  await entered(left.url);
  await alone.page.close();
  await seen.page.close();
  let over = false;
  const closed = left.page.close().then(() => (over = true));
  await vi.waitUntil(() => vi.getTimerCount() > 0);
  vi.advanceTimersByTime(4_900);
  expect(over).toBe(false);
  await vi.advanceTimersByTimeAsync(200);
  await closed;
});

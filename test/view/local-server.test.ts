import { once } from 'node:events';
import { request as httpRequest, type IncomingHttpHeaders } from 'node:http';
import { connect, createServer } from 'node:net';
import { afterEach, expect, test, vi } from 'vitest';
import { InputError } from '../../src/errors/ohmest-error.js';
import { plainText, type Route } from '../../src/view/local-route.js';
import { type LocalServer, PortTaken, serveLocally } from '../../src/view/local-server.js';

let server: LocalServer | undefined;

afterEach(async () => {
  await server?.close();
  server = undefined;
});

interface Reply {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** A request with every header as given: `fetch` would not let a test forge Host, Origin or Cookie. */
function ask(
  path: string,
  {
    method = 'GET',
    headers = {},
    body = '',
  }: { method?: string; headers?: Record<string, string>; body?: string } = {},
): Promise<Reply> {
  return new Promise((resolve, reject) => {
    const { port } = server!;
    const request = httpRequest(
      { host: '127.0.0.1', port, path, method, headers, agent: false },
      (response) => {
        const parts: Buffer[] = [];
        response.on('data', (part: Buffer) => parts.push(part));
        response.on('end', () =>
          resolve({
            status: response.statusCode!,
            headers: response.headers,
            body: Buffer.concat(parts).toString(),
          }),
        );
      },
    );
    request.on('error', reject);
    request.end(body);
  });
}

const echo: Route = {
  method: 'POST',
  path: '/echo',
  handle: ({ body }) => plainText(200, body),
};
const hello: Route = { method: 'GET', path: '/', handle: ({ query }) => plainText(200, `hello ${query}`) };
const named: Route = {
  method: 'GET',
  path: /\/run\/(\d+)\/([^/]+)/,
  handle: ({ params }) => plainText(200, params.join('|')),
};

/** Starts a server and goes in by its address: what every later request needs. */
async function entered(routes: readonly Route[] = [hello, echo, named]) {
  server = await serveLocally({ routes });
  const { status, headers } = await ask(`/?token=${server.token}`);
  expect(status).toBe(303);
  const cookie = headers['set-cookie']![0]!.split(';')[0]!;
  const base = headers.location!.replace(/\/$/, '');
  const origin = `http://127.0.0.1:${server.port}`;
  return { base, cookie, origin, host: `127.0.0.1:${server.port}` };
}

test('whoever has the token is sent on with a cookie of this path only, and the token leaves the address', async () => {
  const { base, cookie } = await entered();
  const { headers } = await ask(`/?token=${server!.token}&a=b`);
  expect(headers['set-cookie']).toEqual([`${cookie}; Path=${base}/; HttpOnly; SameSite=Strict`]);
  expect(cookie).toMatch(new RegExp(`^ohmest-${server!.port}=[0-9a-f]{32}$`));
  expect(headers.location).toBe(`${base}/?a=b`);
  expect(await ask(`${base}/?a=b`, { headers: { cookie } })).toMatchObject({
    status: 200,
    body: 'hello a=b\n',
  });
});

test('the token is 128 random bits, others each time, and is not what the cookie holds', async () => {
  const first = await serveLocally({ routes: [] });
  await first.close();
  const { cookie, base } = await entered();
  expect(server!.token).toMatch(/^[0-9a-f]{32}$/);
  expect(server!.token).not.toBe(first.token);
  expect(cookie).not.toContain(server!.token);
  expect(base).not.toContain(server!.token);
});

test('a wrong, short, missing or doubled token is refused', async () => {
  const { base } = await entered();
  const wrong = server!.token.replace(/./g, (digit) => (digit === '0' ? '1' : '0'));
  for (const path of [`/?token=${wrong}`, '/?token=', `/?token=${server!.token.slice(1)}`, '/', `${base}/`])
    expect(await ask(path), path).toMatchObject({ status: 403 });
  expect(await ask(`${base}/`, { headers: { cookie: `ohmest-${server!.port}=${wrong}` } })).toMatchObject({
    status: 403,
  });
  expect(
    await ask(`${base}/`, { headers: { cookie: `ohmest-${server!.port}=${server!.token}` } }),
  ).toMatchObject({ status: 403 });
});

test('the cookie counts below the secret path only', async () => {
  const { cookie } = await entered();
  expect(await ask('/', { headers: { cookie } })).toMatchObject({ status: 403 });
});

test('another name for this machine is refused, as a name made to point here would be', async () => {
  const { base, cookie } = await entered();
  const { port } = server!;
  for (const host of [
    'evil.example',
    `evil.example:${port}`,
    '127.0.0.1',
    `127.0.0.1:${port + 1}`,
    `[::1]:${port}`,
  ])
    expect(await ask(`${base}/`, { headers: { cookie, host } }), host).toMatchObject({ status: 421 });
  expect(await ask(`${base}/`, { headers: { cookie, host: `localhost:${port}` } })).toMatchObject({
    status: 200,
  });
});

test('another origin is refused, and none is given leave to read', async () => {
  const { base, cookie, origin } = await entered();
  for (const other of [
    'null',
    'http://evil.example',
    `http://localhost:${server!.port}`,
    `${origin}0`,
    'https://127.0.0.1',
  ]) {
    const reply = await ask(`${base}/`, { headers: { cookie, origin: other } });
    expect(reply, other).toMatchObject({ status: 403 });
    expect(Object.keys(reply.headers).filter((name) => name.startsWith('access-control'))).toEqual([]);
  }
  for (const site of ['cross-site', 'same-site'])
    expect(await ask(`${base}/`, { headers: { cookie, 'sec-fetch-site': site } })).toMatchObject({
      status: 403,
    });
  const own = await ask(`${base}/`, { headers: { cookie, origin, 'sec-fetch-site': 'same-origin' } });
  expect(own.status).toBe(200);
  expect(Object.keys(own.headers).filter((name) => name.startsWith('access-control'))).toEqual([]);
});

test('a post needs the cookie, its own origin and the token header, each of them', async () => {
  const { base, cookie, origin } = await entered();
  const whole = { cookie, origin, 'x-ohmest-token': server!.token };
  const post = (headers: Record<string, string>) =>
    ask(`${base}/echo`, { method: 'POST', headers, body: 'words' });
  expect(await post(whole)).toMatchObject({ status: 200, body: 'words\n' });
  for (const left of Object.keys(whole))
    expect(
      await post(Object.fromEntries(Object.entries(whole).filter(([key]) => key !== left))),
      left,
    ).toMatchObject({
      status: 403,
    });
  expect(await post({ ...whole, 'x-ohmest-token': '0'.repeat(32) })).toMatchObject({ status: 403 });
});

test('a body of more than 16 KiB is refused, with or without its length told', async () => {
  const { base, cookie, origin } = await entered();
  const headers = { cookie, origin, 'x-ohmest-token': server!.token };
  const post = (bytes: number, more = {}) =>
    ask(`${base}/echo`, { method: 'POST', headers: { ...headers, ...more }, body: 'x'.repeat(bytes) });
  expect((await post(16_384)).status).toBe(200);
  expect((await post(16_385)).status).toBe(413);
  expect((await post(16_385, { 'transfer-encoding': 'chunked' })).status).toBe(413);
});

test('every answer forbids framing, keeping, guessing its type and loading from elsewhere', async () => {
  const { base, cookie } = await entered();
  for (const path of [`${base}/`, `${base}/nowhere`, '/']) {
    const { headers } = await ask(path, { headers: { cookie } });
    expect(headers['content-security-policy']).toMatch(/^default-src 'none';.*frame-ancestors 'none'/);
    expect(headers['content-security-policy']).toContain(`script-src 'none'`);
    expect(headers).toMatchObject({
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
      'cache-control': 'no-store',
    });
  }
});

test('only the scripts and styles that a page names by their text may run', async () => {
  const page: Route = {
    method: 'GET',
    path: '/',
    handle: () => ({
      status: 200,
      type: 'text/html',
      body: '',
      inline: { scripts: [`alert('Hello, world.');`] },
    }),
  };
  const { base, cookie } = await entered([page]);
  const { headers } = await ask(`${base}/`, { headers: { cookie } });
  // The worked example of W3C Content Security Policy Level 3, section 8.4 (hash of this very script; from memory).
  expect(headers['content-security-policy']).toContain(
    `script-src 'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='`,
  );
});

test('groups of a path are handed on decoded, and a path must match as a whole', async () => {
  const { base, cookie } = await entered();
  const get = (path: string, method = 'GET') => ask(`${base}${path}`, { headers: { cookie }, method });
  expect((await get('/run/7/a%20b')).body).toBe('7|a b\n');
  expect((await get('/run/7/%zz')).body).toBe('7|%zz\n');
  expect((await get('/run/7/x/y')).status).toBe(404);
  expect((await get('/echo')).status).toBe(404);
  expect((await get('/', 'PUT')).status).toBe(405);
});

test('what a handler throws ends its own request only', async () => {
  class Wrong extends InputError {
    readonly code = 'WRONG';
  }
  const failing = (path: string, error: Error): Route => ({
    method: 'GET',
    path,
    handle: () => Promise.reject(error),
  });
  const { base, cookie } = await entered([
    hello,
    failing('/a', new Wrong({ what: 'no run 9' })),
    failing('/b', new Error('boom')),
  ]);
  const get = (path: string) => ask(`${base}${path}`, { headers: { cookie } });
  expect(await get('/a')).toMatchObject({ status: 400, body: 'no run 9.\n' });
  expect(await get('/b')).toMatchObject({ status: 500, body: 'This failed: boom\n' });
  expect(await get('/')).toMatchObject({ status: 200 });
});

test('it listens on 127.0.0.1 alone, and a port that is taken is an input error that names it', async () => {
  const other = createServer().listen(0, '127.0.0.1');
  await once(other, 'listening');
  const { port } = other.address() as { port: number };
  const failure = await serveLocally({ port, routes: [] }).catch((error: unknown) => error);
  expect(failure).toBeInstanceOf(PortTaken);
  expect(failure).toMatchObject({ exitStatus: 2, message: expect.stringContaining(`port ${port} is taken`) });
  other.close();
  await entered();
  const elsewhere = connect(server!.port, '127.0.0.2');
  const [error] = await once(elsewhere, 'error');
  expect(error).toMatchObject({ code: 'ECONNREFUSED' });
});

/** Opens a stream and returns its socket, paused after the first bytes. */
async function reader(path: string, cookie: string, host: string) {
  const socket = connect(server!.port, '127.0.0.1');
  socket.write(`GET ${path} HTTP/1.1\r\nHost: ${host}\r\nCookie: ${cookie}\r\n\r\n`);
  const [first] = (await once(socket, 'data')) as [Buffer];
  return { socket, first: first.toString() };
}

test('events reach a reader, and closing the server ends the stream after the last of them', async () => {
  let send = (_event: string, _data: string): void => undefined;
  const stream: Route = {
    method: 'GET',
    path: '/events',
    handle: () => ({
      stream: (given) => {
        send = given;
      },
    }),
  };
  const { base, cookie, host } = await entered([stream]);
  const { socket, first } = await reader(`${base}/events`, cookie, host);
  let text = first;
  socket.on('data', (part: Buffer) => {
    text += part.toString();
  });
  expect(first).toContain('text/event-stream');
  send('change', '{"a":1}');
  send('end', 'two\nlines');
  const ended = once(socket, 'close');
  await server!.close();
  await ended;
  expect(text).toContain('event: change\ndata: {"a":1}\n\n');
  expect(text).toContain('event: end\ndata: two\ndata: lines\n\n');
  expect(() => send('late', 'nobody')).not.toThrow();
});

test('a reader that does not keep up is cut off, and the others go on', async () => {
  const sends: ((event: string, data: string) => void)[] = [];
  let dropped = 0;
  const stream: Route = {
    method: 'GET',
    path: '/events',
    handle: () => ({
      stream: (send, closed) => {
        sends.push(send);
        closed.addEventListener('abort', () => dropped++);
      },
    }),
  };
  const { base, cookie, host } = await entered([stream]);
  const slow = await reader(`${base}/events`, cookie, host);
  slow.socket.pause();
  const quick = await reader(`${base}/events`, cookie, host);
  quick.socket.resume();
  const big = 'x'.repeat(64 * 1024);
  // Kernel buffers swallow some megabytes before anything is left waiting here.
  await vi.waitFor(
    () => {
      for (let i = 0; i < 8; i++) sends[0]!('fill', big);
      expect(dropped).toBe(1);
    },
    { timeout: 10_000, interval: 5 },
  );
  let heard = '';
  quick.socket.on('data', (part: Buffer) => {
    heard += part.toString();
  });
  sends[1]!('still', 'here');
  await vi.waitFor(() => expect(heard).toContain('event: still'));
  slow.socket.destroy();
  quick.socket.destroy();
});

test('no more than 32 may look on at once, and a place becomes free when one goes', async () => {
  const stream: Route = { method: 'GET', path: '/events', handle: () => ({ stream: () => undefined }) };
  const { base, cookie, host } = await entered([stream]);
  const readers = [];
  for (let i = 0; i < 32; i++) readers.push(await reader(`${base}/events`, cookie, host));
  expect((await reader(`${base}/events`, cookie, host)).first).toContain('503');
  readers[0]!.socket.destroy();
  await vi.waitFor(async () => {
    const { socket, first } = await reader(`${base}/events`, cookie, host);
    if (!first.includes('200 OK')) socket.destroy();
    expect(first).toContain('200 OK');
  });
  for (const { socket } of readers) socket.destroy();
});

test('connections that never finish their request shut nobody out who holds the token', async () => {
  server = await serveLocally({ routes: [hello] });
  const { port, url } = server;
  const halves = Array.from({ length: 200 }, (_, i) => {
    const socket = connect(port, '127.0.0.1');
    socket.on('error', () => undefined);
    // Some say nothing at all, some never come to the end of their headers.
    if (i % 2 === 0) socket.write('GET / HTTP/1.1\r\nHost: ');
    return socket;
  });
  await Promise.all(halves.map((socket) => once(socket, 'connect')));
  const open = () => halves.filter((socket) => !socket.closed).length;
  const { pathname, search } = new URL(url);
  const headers = { Host: `127.0.0.1:${port}` };
  expect((await ask(pathname + search, { headers })).status).toBe(303);
  await vi.waitFor(() => expect(open()).toBeLessThanOrEqual(32), { timeout: 4_000 });
  await vi.waitFor(() => expect(open()).toBe(0), { timeout: 8_000 });
});

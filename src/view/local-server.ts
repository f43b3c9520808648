import { createHash } from 'node:crypto';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { inputError } from '../errors/error-table.js';
import { OhmestError } from '../errors/ohmest-error.js';
import { streamEvents } from './event-stream.js';
import { LocalGate } from './local-gate.js';
import { type Answer, type Document, plainText, type Route, type Stream } from './local-route.js';
import { Newcomers } from './newcomers.js';

const MOST_BODY_bytes = 16 * 1024;
/** Of these, some are kept for those who hold the token. */
const MOST_CONNECTIONS = 96;
const NEWCOMERS = { most: 32, time_ms: 5_000 } as const;
const MOST_STREAMS = 32;
/** How long readers have for what was sent to them last. */
const GRACE_ms = 500;

/** A port that cannot be had. */
export const PortTaken = inputError('PORT_TAKEN', (port: number | null, cause: NodeJS.ErrnoException) => ({
  what: `port ${port} ${cause.code === 'EADDRINUSE' ? 'is taken by another program' : `cannot be had (${cause.code})`}`,
  mend: 'Choose another one, or leave it out: then any free one is taken',
  cause,
}));

export interface LocalServing {
  /** Null or left out: any that is free. */
  readonly port?: number | null;
  readonly routes: readonly Route[];
  /** Called when somebody has shown the token and is sent on to the first page. */
  readonly onEntry?: () => void;
}

export interface LocalServer {
  /** The address that lets a person in, token included. */
  readonly url: string;
  readonly token: string;
  readonly port: number;
  /** Ends all streams, gives readers a moment for their last events, and lets go of the port. Safe to call twice. */
  close(): Promise<void>;
}

/**
 * Serves pages to browsers on this machine only. Who may ask is settled by `LocalGate`; what is answered may not
 * be framed, kept, or load anything from elsewhere. What a reader does, or a handler throws, stays within its request.
 *
 * @throws PortTaken
 */
export async function serveLocally({
  port = null,
  routes,
  onEntry = () => undefined,
}: LocalServing): Promise<LocalServer> {
  const server = createServer({
    maxHeaderSize: 8 * 1024,
    headersTimeout: 5_000,
    requestTimeout: 10_000,
    keepAliveTimeout: 5_000,
    connectionsCheckingInterval: 2_000,
  });
  server.maxConnections = MOST_CONNECTIONS;
  server.on('clientError', (_, socket) => socket.destroy());
  await listen(server, port);
  const actual = (server.address() as AddressInfo).port;
  const gate = new LocalGate(actual);
  const streams = new Set<() => void>();
  const newcomers = new Newcomers(NEWCOMERS);
  server.on('connection', (socket) => newcomers.meet(socket));
  server.on('request', (request, response) => {
    response.on('error', () => undefined);
    answer({ gate, routes, streams, newcomers, onEntry }, request, response).catch(() => response.destroy());
  });
  const { url, token } = gate;
  let closing: Promise<void> | null = null;
  const close = () => {
    closing ??= closeServer(server, streams);
    return closing;
  };
  return { url, token, port: actual, close };
}

function listen(server: Server, port: number | null): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => reject(new PortTaken(port, error)));
    server.listen({ port: port ?? 0, host: '127.0.0.1', exclusive: true }, () => {
      server.removeAllListeners('error');
      // Out of file handles, say: somebody is not served, and the run goes on.
      server.on('error', () => undefined);
      resolve();
    });
  });
}

async function closeServer(server: Server, streams: ReadonlySet<() => void>): Promise<void> {
  const closed = new Promise<void>((resolve) => server.close(() => resolve()));
  for (const end of streams) end();
  server.closeIdleConnections();
  const cut = setTimeout(() => server.closeAllConnections(), GRACE_ms);
  await closed;
  clearTimeout(cut);
}

interface Serving {
  readonly gate: LocalGate;
  readonly routes: readonly Route[];
  readonly streams: Set<() => void>;
  readonly newcomers: Newcomers;
  readonly onEntry: () => void;
}

async function answer(serving: Serving, request: IncomingMessage, response: ServerResponse): Promise<void> {
  // Every browser asks for this, below no path of ours; there is none, and that is nobody's secret.
  if (request.url === '/favicon.ico') return respondWith(response, { ...plainText(204, ''), body: '' });
  const admission = serving.gate.admit(request);
  if (admission.kind === 'refused') return respondWith(response, plainText(admission.status, admission.why));
  serving.newcomers.know(request.socket);
  if (admission.kind === 'sent-on') {
    serving.onEntry();
    const headers = { Location: admission.to, 'Set-Cookie': admission.cookie };
    return respondWith(response, { ...plainText(303, 'This way.'), headers });
  }
  const { path, query } = admission;
  const found = routeTo(serving.routes, request.method ?? '', path);
  if (found === null) return respondWith(response, plainText(404, 'There is nothing at this address.'));
  const body = request.method === 'POST' ? await bodyOf(request) : '';
  if (body === null) return respondWith(response, plainText(413, 'This is too long.'), true);
  const { token, base } = serving.gate;
  const made = await madeBy(() =>
    found.route.handle({ path, base, query, params: found.params, body, token }),
  );
  if ('stream' in made) return giveStream(serving, response, made);
  respondWith(response, made);
}

/** What a handler makes of a request; what it throws is told to the one who asked. */
async function madeBy(handle: () => Answer | Promise<Answer>): Promise<Answer> {
  try {
    return await handle();
  } catch (error) {
    if (error instanceof OhmestError) return plainText(400, error.message);
    return plainText(500, `This failed: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function routeTo(routes: readonly Route[], method: string, path: string) {
  for (const route of routes) {
    if (route.method !== method) continue;
    if (route.path === path) return { route, params: [] };
    const match = route.path instanceof RegExp ? route.path.exec(path) : null;
    if (match?.[0] === path) return { route, params: match.slice(1).map((part) => decoded(part ?? '')) };
  }
  return null;
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

/** The body of a request; null when it is longer than any that has a meaning here. */
async function bodyOf(request: IncomingMessage): Promise<string | null> {
  const parts: Buffer[] = [];
  let length = 0;
  // A request that is cut off could not be answered any more.
  for await (const part of request.iterator({ destroyOnReturn: false })) {
    length += (part as Buffer).length;
    if (length > MOST_BODY_bytes) return null;
    parts.push(part as Buffer);
  }
  return Buffer.concat(parts).toString('utf8');
}

function respondWith(response: ServerResponse, document: Document, last = false): void {
  const { status, type, body, inline, headers } = document;
  response.writeHead(status, {
    ...commonHeaders(inline),
    'Content-Type': type,
    'Content-Length': Buffer.byteLength(body),
    ...(last && { Connection: 'close' }),
    ...headers,
  });
  response.end(body);
}

function giveStream({ streams }: Serving, response: ServerResponse, made: Stream): void {
  if (streams.size >= MOST_STREAMS) {
    respondWith(response, plainText(503, 'Too many are looking on already.'));
    return;
  }
  response.writeHead(200, { ...commonHeaders(), 'Content-Type': 'text/event-stream; charset=utf-8' });
  const end = streamEvents(response, made);
  streams.add(end);
  response.on('close', () => streams.delete(end));
}

/** Nothing is kept, framed, guessed or loaded from elsewhere; no other origin is given leave to read. */
function commonHeaders(inline: Document['inline'] = {}): Record<string, string> {
  const { scripts = [], ownScripts = false, styles = [] } = inline;
  const policy = [
    `default-src 'none'`,
    `connect-src 'self'`,
    `img-src 'self' data:`,
    `form-action 'self'`,
    `base-uri 'none'`,
    `frame-ancestors 'none'`,
    `script-src ${ownScripts ? ["'self'", ...scripts.map(hashSource)].join(' ') : sources(scripts)}`,
    `style-src ${styles === 'any' ? `'unsafe-inline'` : sources(styles)}`,
  ];
  return {
    'Content-Security-Policy': policy.join('; '),
    'X-Content-Type-Options': 'nosniff',
    'X-Frame-Options': 'DENY',
    'Referrer-Policy': 'no-referrer',
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Cache-Control': 'no-store',
  };
}

/** The texts that may stand within a page, by their hashes (W3C Content Security Policy Level 3, section 2.3.1). */
function sources(texts: readonly string[]): string {
  if (texts.length === 0) return `'none'`;
  return texts.map(hashSource).join(' ');
}

const hashSource = (text: string): string => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

/** What the gate makes of a request: refused with a reason, sent on with a cookie, or let in. */
export type Admission =
  | { readonly kind: 'refused'; readonly status: number; readonly why: string }
  | { readonly kind: 'sent-on'; readonly to: string; readonly cookie: string }
  | { readonly kind: 'let-in'; readonly path: string; readonly query: URLSearchParams };

const WHERE_TOKEN = 'Open the address that ohmest printed when it started, token included';

/**
 * Decides who may talk to a server on this machine. Whoever has the token gets a cookie; nothing is
 * answered without it. Other pages in the same browser could send requests along with that cookie, so a request must
 * also name this server as its host (a stranger's name made to point here does not) and must not come from another
 * origin. Cookies know no ports: any server on this machine would be sent ours, were it not bound to a path
 * that nobody else knows. Every address therefore lies below `base`.
 */
export class LocalGate {
  readonly token = randomBytes(16).toString('hex');
  readonly base = `/${randomBytes(16).toString('hex')}`;
  private readonly secret = randomBytes(16).toString('hex');

  constructor(private readonly port: number) {}

  /** The address that lets a person in. */
  get url(): string {
    return `http://127.0.0.1:${this.port}/?token=${this.token}`;
  }

  /** Looks a request over before a byte of its body is read. */
  admit(request: IncomingMessage): Admission {
    const { headers, method = '', url = '' } = request;
    const host = headers.host ?? '';
    if (host !== `127.0.0.1:${this.port}` && host !== `localhost:${this.port}`)
      return refused(421, 'This server answers to 127.0.0.1 and localhost only');
    const site = headers['sec-fetch-site'];
    if (site !== undefined && site !== 'same-origin' && site !== 'none')
      return refused(403, `No other page may ask here. ${WHERE_TOKEN}`);
    const { origin } = headers;
    if (origin !== undefined && origin !== `http://${host}`)
      return refused(403, 'No other page may ask here');
    if (method !== 'GET' && method !== 'POST') return refused(405, 'Only GET and POST are answered');
    const address = addressOf(url);
    if (address === null) return refused(400, 'This is not an address');
    return this.admitTo(address, request);
  }

  private admitTo({ pathname, searchParams }: URL, { method, headers }: IncomingMessage): Admission {
    const token = searchParams.get('token');
    const path = pathname.startsWith(`${this.base}/`) ? pathname.slice(this.base.length) : null;
    if (method === 'GET' && token !== null) {
      if (!same(token, this.token)) return refused(403, `The token is wrong. ${WHERE_TOKEN}`);
      searchParams.delete('token');
      const query = searchParams.size > 0 ? `?${searchParams}` : '';
      return { kind: 'sent-on', to: `${this.base}${path ?? pathname}${query}`, cookie: this.cookie() };
    }
    if (
      path === null ||
      !cookies(headers.cookie, this.cookieName()).some((value) => same(value, this.secret))
    )
      return refused(403, `The token is missing. ${WHERE_TOKEN}`);
    if (method === 'POST') {
      if (headers.origin === undefined) return refused(403, 'Only the page itself may post');
      const sent = headers['x-ohmest-token'];
      if (typeof sent !== 'string' || !same(sent, this.token))
        return refused(403, 'The X-Ohmest-Token header is missing or wrong');
    }
    return { kind: 'let-in', path, query: searchParams };
  }

  private cookieName(): string {
    return `ohmest-${this.port}`;
  }

  private cookie(): string {
    return `${this.cookieName()}=${this.secret}; Path=${this.base}/; HttpOnly; SameSite=Strict`;
  }
}

const refused = (status: number, why: string): Admission => ({ kind: 'refused', status, why });

/** Compares in a time that tells nothing of where two texts differ. */
function same(a: string, b: string): boolean {
  const digest = (text: string) => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(a), digest(b));
}

/** The address asked for; null when it is none of a server's own, as a proxy would be asked. */
function addressOf(url: string): URL | null {
  if (!url.startsWith('/') || url.startsWith('//') || url.includes('\\')) return null;
  return URL.canParse(url, 'http://127.0.0.1') ? new URL(url, 'http://127.0.0.1') : null;
}

function cookies(header: string | undefined, name: string): string[] {
  return (header ?? '')
    .split(';')
    .map((pair) => pair.trim())
    .filter((pair) => pair.startsWith(`${name}=`))
    .map((pair) => pair.slice(name.length + 1));
}

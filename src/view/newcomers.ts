import type { Socket } from 'node:net';

/**
 * Connections that have not shown yet that they may ask. Any program on this machine can open as many as it likes and leave
 * them there, so each has little time, and the oldest gives way when there are too many: whoever holds the token still gets in.
 */
export class Newcomers {
  private readonly waiting = new Map<Socket, NodeJS.Timeout>();

  constructor(private readonly limits: { readonly most: number; readonly time_ms: number }) {}

  meet(socket: Socket): void {
    const late = setTimeout(() => socket.destroy(), this.limits.time_ms).unref();
    this.waiting.set(socket, late);
    socket.once('close', () => this.know(socket));
    if (this.waiting.size > this.limits.most) this.waiting.keys().next().value?.destroy();
  }

  /** It has shown the token, or is gone: no longer one of them. */
  know(socket: Socket): void {
    clearTimeout(this.waiting.get(socket));
    this.waiting.delete(socket);
  }
}

import { createHmac } from 'node:crypto';

/** Of the secrets of Standard Webhooks 1.0.0: base64 after this, or without it. */
const PREFIX = 'whsec_';
const BASE64 = /^(?:[A-Za-z0-9+/]{4})*(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?$/;
const KEY_BYTES_LEAST = 24;
const TEXT_LENGTH_LEAST = 32;

/** The key in a secret: what base64 of 24 bytes or more stands for, or else a text of 32 characters or more as it is; null: too weak. */
export function keyIn(secret: string): Buffer | null {
  const prefixed = secret.startsWith(PREFIX);
  const encoded = prefixed ? secret.slice(PREFIX.length) : secret;
  if (BASE64.test(encoded)) {
    const key = Buffer.from(encoded, 'base64');
    if (key.length >= KEY_BYTES_LEAST) return key;
  }
  return !prefixed && secret.length >= TEXT_LENGTH_LEAST ? Buffer.from(secret) : null;
}

/**
 * What proves to a receiver who sent this and that nobody changed it (Standard Webhooks 1.0.0, symmetric). `id` must hold no full
 * stop, `seconds` is the Unix time of this attempt.
 */
export function signedHeaders(key: Uint8Array, id: string, seconds: number, body: string): Record<string, string> {
  const proof = createHmac('sha256', key).update(`${id}.${seconds}.${body}`).digest('base64');
  return { 'webhook-id': id, 'webhook-timestamp': String(seconds), 'webhook-signature': `v1,${proof}` };
}

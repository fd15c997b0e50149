import { execFileSync } from 'node:child_process';
import { describe, expect, test } from 'vitest';
import { keyIn, signedHeaders } from '../../edge/relay/signature.ts';

describe('a signature', () => {
  test('is the one that Standard Webhooks 1.0.0 libraries are tested against', () => {
    // [p] The vector of the specification's own libraries; openssl gives the same, see below.
    const key = keyIn('whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw') ?? expect.fail('no key');
    expect(signedHeaders(key, 'msg_p5jXN8AQM9LWM0D4loKWxJek', 1_614_265_330, '{"test": 2432232314}')).toEqual({
      'webhook-id': 'msg_p5jXN8AQM9LWM0D4loKWxJek',
      'webhook-timestamp': '1614265330',
      'webhook-signature': 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
    });
  });

  test('is what openssl makes of the same bytes', () => {
    const body = '{"type":"warning.raised","site":"höfe"}';
    const key = keyIn('a text of thirty-two characters!') ?? expect.fail('no key');
    const hex = Buffer.from('a text of thirty-two characters!').toString('hex');
    const args = ['dgst', '-sha256', '-mac', 'HMAC', '-macopt', `hexkey:${hex}`, '-binary'];
    const proof = execFileSync('openssl', args, { input: `yard:7.1768500000.${body}` }).toString('base64');
    expect(signedHeaders(key, 'yard:7', 1_768_500_000, body)['webhook-signature']).toBe(`v1,${proof}`);
  });
});

describe('a secret', () => {
  const bytes = Buffer.alloc(24, 0xfb);
  test.each([
    ['base64 of 24 bytes', bytes.toString('base64'), bytes],
    ['the same with its prefix', `whsec_${bytes.toString('base64')}`, bytes],
    ['base64 with padding', Buffer.alloc(25, 1).toString('base64'), Buffer.alloc(25, 1)],
    ['a text of 32 characters', 'correct-horse-battery-staple-too', Buffer.from('correct-horse-battery-staple-too')],
    ['a long text that is nearly base64', `${'a'.repeat(32)}=`, Buffer.from(`${'a'.repeat(32)}=`)],
  ])('%s is a key', (_, secret, key) => {
    expect(keyIn(secret)?.toString('hex')).toBe(key.toString('hex'));
  });

  test.each([
    ['base64 of 23 bytes', Buffer.alloc(23, 1).toString('base64').slice(0, 31)],
    ['a text of 31 characters', 'correct-horse-battery-staple-to'],
    ['nothing', ''],
    ['its prefix alone', 'whsec_'],
    ['base64 of 23 bytes with its prefix', `whsec_${Buffer.alloc(23, 1).toString('base64')}`],
    ['a text after the prefix', 'whsec_correct-horse-battery-staple-too'],
  ])('%s is none', (_, secret) => {
    expect(keyIn(secret)).toBeNull();
  });
});

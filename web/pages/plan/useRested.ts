import { useEffect, useState } from 'preact/hooks';

/** The value once it has stayed the same for a moment: what moves under a thumb is not followed step by step. */
export function useRested<T>(value: T, restMs: number): T {
  const [rested, setRested] = useState(value);
  useEffect(() => {
    if (value === rested) return;
    const timer = setTimeout(() => setRested(() => value), restMs);
    return () => clearTimeout(timer);
  }, [value, restMs, rested]);
  return rested;
}

/** Why a request failed: the network's own reason stands behind a general one. */
export function reasonOf(fault: unknown): string {
  const { message, cause } = fault as Error;
  if (!(cause instanceof Error)) return message;
  // Where a name has several addresses and none answers, Node leaves the message empty.
  return cause.message || String((cause as NodeJS.ErrnoException).code);
}

import { useEffect } from 'preact/hooks';
import type { Recorded } from '../api/record.ts';
import type { StatementSent } from '../api/shapes.ts';
import { ProblemNote, useRecord } from './form.tsx';

interface Props {
  statement: StatementSent;
  /** Null: it was not recorded. */
  onEnd: (recorded: Recorded | null) => void;
}

/** Puts a statement on record as soon as it is shown, and says what was wrong where that failed. */
export function Say({ statement, onEnd }: Props) {
  const { problem, record } = useRecord();
  useEffect(() => {
    record(statement).then(onEnd);
  }, []);
  return <ProblemNote problem={problem.value} />;
}

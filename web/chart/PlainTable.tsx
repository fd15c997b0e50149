import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';

interface Props {
  title: string;
  columns: readonly string[];
  /** Made only when opened or printed. The first cell heads its row. */
  rows: () => readonly (readonly string[])[];
}

/** The numbers behind a drawing, for whoever cannot or will not read a curve. */
export function PlainTable({ title, columns, rows }: Props) {
  const open = useSignal(false);
  useEffect(() => {
    const show = () => {
      open.value = true;
    };
    addEventListener('beforeprint', show);
    return () => removeEventListener('beforeprint', show);
  }, []);
  return (
    <details
      class="more"
      open={open.value}
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{title}</summary>
      {open.value && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
        <section class="table-frame" tabIndex={0} aria-label={title}>
          <table class="numbers">
            <thead>
              <tr>
                {columns.map((column) => (
                  <th scope="col" key={column}>
                    {column}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {rows().map(([head, ...cells]) => (
                <tr key={head}>
                  <th scope="row">{head}</th>
                  {cells.map((cell, column) => (
                    <td key={columns[column + 1]}>{cell}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      )}
    </details>
  );
}

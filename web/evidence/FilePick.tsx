import { useEffect, useState } from 'preact/hooks';
import { verifyText } from '../text/verifyText.ts';

const words = verifyText.pick;

/** The most that one is read of; none is as large. */
const BYTES_MOST = 512 * 1024 * 1024;

interface Props {
  /** Something was chosen before. */
  isAgain: boolean;
  onPick: (file: File) => void;
}

/** A file is chosen, or dropped anywhere on the page. */
export function FilePick({ isAgain, onPick }: Props) {
  const [isOver, setOver] = useState(false);
  const [fault, setFault] = useState<string | null>(null);
  const take = (files: readonly File[]) => {
    const [file] = files;
    const wrong = faultOf(files);
    setFault(wrong);
    if (file !== undefined && wrong === null) onPick(file);
  };
  useEffect(() => {
    const over = (event: DragEvent) => {
      event.preventDefault();
      setOver(true);
    };
    const leave = (event: DragEvent) => {
      if (event.relatedTarget === null) setOver(false);
    };
    const drop = (event: DragEvent) => {
      // Without it the browser would open the file in place of this page.
      event.preventDefault();
      setOver(false);
      take([...(event.dataTransfer?.files ?? [])]);
    };
    addEventListener('dragover', over);
    addEventListener('dragleave', leave);
    addEventListener('drop', drop);
    return () => {
      removeEventListener('dragover', over);
      removeEventListener('dragleave', leave);
      removeEventListener('drop', drop);
    };
  });
  return (
    <div class={`file-pick ${isOver ? 'is-over' : ''}`}>
      <p class="file-pick-drop">
        {words.drop} <span class="soft">{words.or}</span>
      </p>
      <label class="button primary file-pick-choose">
        <input
          type="file"
          accept=".zip,application/zip"
          onChange={({ currentTarget }) => {
            take([...(currentTarget.files ?? [])]);
            // The same file may be chosen again.
            currentTarget.value = '';
          }}
        />
        {isAgain ? words.another : words.choose}
      </label>
      <p class="fault" role="alert">
        {fault}
      </p>
    </div>
  );
}

function faultOf(files: readonly File[]): string | null {
  const [file] = files;
  if (files.length > 1) return words.dropped;
  if (file === undefined) return null;
  if (file.size > BYTES_MOST) return words.tooLarge;
  return file.size === 0 ? words.empty : null;
}

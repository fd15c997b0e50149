import { type Answered, problemOf } from '../../api/call.ts';
import { text } from '../../text/text.ts';

/** What became of a file. */
export interface Taken {
  readonly source: string;
  readonly sha256: string;
  readonly rows: number;
  readonly rejected: readonly { readonly line: number; readonly reason: string }[];
  readonly rejectedTotal: number;
  readonly from: string;
  readonly to: string;
}

/** Sends a CSV file and tells how much of it is through, as a share of 1: only the older of the browser's two ways says that. */
export function upload(probe: string, file: File, onProgress: (share: number) => void): Promise<Answered<Taken>> {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.open('POST', `/api/probes/${encodeURIComponent(probe)}/imports?name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader('content-type', 'text/csv');
    request.setRequestHeader('accept', 'application/json');
    request.upload.onprogress = ({ loaded, total }) => onProgress(total === 0 ? 1 : loaded / total);
    request.onload = () => {
      const body = parsed(request.responseText);
      if (request.status === 201) resolve({ ok: true, value: body as Taken });
      else resolve({ ok: false, problem: problemOf(request.status, body) });
    };
    request.onerror = () => {
      const { unreachable: title, unreachableDetail: detail } = text.problem;
      resolve({ ok: false, problem: problemOf(0, { title, detail }) });
    };
    request.send(file);
  });
}

function parsed(body: string): unknown {
  try {
    return JSON.parse(body);
  } catch {
    return null;
  }
}

// What can come back instead of an answer, in words a nurse can act on. It decides nothing about trying again.

export interface FieldProblem {
  readonly field: string;
  readonly text: string;
}

/** An RFC 9457 problem document: what is wrong, at which field. Its detail is written for a person, so that comes first. */
export class Problem extends Error {
  readonly status: number;
  readonly words: string;
  readonly fields: readonly FieldProblem[];
  readonly body: Readonly<Record<string, unknown>>;

  constructor(status: number, body: Readonly<Record<string, unknown>>) {
    const words = textOf(body["detail"]) || textOf(body["title"]) || `The server answered ${status}.`;
    super(words);
    this.status = status;
    this.words = words;
    this.fields = fieldsOf(body["fields"]);
    this.body = body;
  }
}

/** No answer: no network, a server that is down, or one that took too long. Nothing is known of what arrived. */
export class Unreachable extends Error {
  constructor() {
    super("The server cannot be reached.");
  }
}

function textOf(value: unknown): string {
  return typeof value === "string" ? value : "";
}

function fieldsOf(value: unknown): FieldProblem[] {
  if (!Array.isArray(value)) return [];
  return value.flatMap((entry: unknown) => {
    if (typeof entry !== "object" || entry === null) return [];
    const { field, text } = entry as Record<string, unknown>;
    return [{ field: textOf(field), text: textOf(text) }];
  });
}

// What stands open at this access, with its evidence; who may, closes a flag with a reason.
import { useSignal } from "@preact/signals";
import { may } from "../../../data/session";
import type { Flag } from "../../../data/shapes";
import { Evidence } from "../../parts/Evidence";
import { ReasonForm } from "../../parts/ReasonForm";
import { Section } from "../../parts/Section";
import { useSending } from "../../sending";
import type { AccessProps } from "./index";

export function Findings({ page, again }: AccessProps) {
  const said = useSignal("");
  const closed = (words: string): void => {
    said.value = words;
    void again().then(() => document.getElementById("findings-title")?.focus());
  };
  return (
    <Section id="findings" title="Findings">
      <p role="status" class={said.value ? "done-note" : "spoken"}>
        {said.value}
      </p>
      {page.flags.length === 0 && <p>Nothing stands open. Examine the access all the same.</p>}
      {page.flags.map((flag) => (
        <Evidence key={flag.id} flag={flag}>
          {may("flag:close") && <CloseFlag flag={flag} onClosed={closed} />}
        </Evidence>
      ))}
    </Section>
  );
}

interface CloseProps {
  readonly flag: Flag;
  readonly onClosed: (words: string) => void;
}

function CloseFlag({ flag, onClosed }: CloseProps) {
  const open = useSignal(false);
  if (open.value) return <CloseForm flag={flag} onClosed={onClosed} onLeave={() => (open.value = false)} />;
  return (
    <button type="button" onClick={() => (open.value = true)}>
      Close this flag
      <span class="spoken">: {flag.sentence}</span>
    </button>
  );
}

function CloseForm({ flag, onClosed, onLeave }: CloseProps & { readonly onLeave: () => void }) {
  const { busy, problem, step } = useSending();
  async function close(why: string): Promise<boolean> {
    const closed = await step("POST", `flags/${flag.id}/close`, { why });
    if (closed) onClosed(`Closed: ${flag.sentence}`);
    return closed !== null;
  }
  return (
    <ReasonForm
      id={`close-${flag.id}`}
      name={`why-${flag.id}`}
      label="Why it is closed"
      ask="Say why it is closed."
      most={400}
      button="Close the flag"
      busy={busy.value}
      error={problem.value?.words}
      onSend={close}
    >
      <button type="button" onClick={onLeave}>
        Leave it open
      </button>
    </ReasonForm>
  );
}

// The weekly review: one list of the accesses that need attention, most urgent first, worked through without a mouse,
// and beside it what is overdue, what cannot be judged and what came back. Order and sentences are the server's.
import { useEffect } from "preact/hooks";
import type { Review } from "../../../data/review-shapes";
import { may } from "../../../data/session";
import { calendarDay } from "../../../data/time";
import { useLoaded, WhenLoaded } from "../../load";
import { Keys } from "./Keys";
import { Sidelines } from "./Sidelines";
import { Worklist } from "./Worklist";
import "../../styles/sheet.css";
import "./review.css";

export default function ReviewScreen() {
  const loaded = useLoaded<Review>("review");
  useEffect(() => {
    document.title = "Weekly review · Ropeladder";
  }, []);
  return <WhenLoaded loaded={loaded}>{(review) => <Week review={review} />}</WhenLoaded>;
}

function Week({ review }: { readonly review: Review }) {
  const { limits_waiting: waiting } = review;
  return (
    <section class="screen review">
      <div class="review-head">
        <h1 tabIndex={-1}>
          Weekly review <small>week of {calendarDay(review.week)}</small>
        </h1>
        {review.rows.length > 0 && <Keys decides={may("decision:create")} />}
        {waiting > 0 && (
          <p class="standing soft small">
            {waiting === 1 ? "1 limit in force waits" : `${waiting} limits in force wait`} to be confirmed by this
            clinic; what {waiting === 1 ? "it finds" : "they find"} asks to repeat and examine, never more.
          </p>
        )}
      </div>
      <Worklist review={review} />
      <Sidelines review={review} />
    </section>
  );
}

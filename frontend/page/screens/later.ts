// The screens that come after the first load, as one piece: they share words and parts, so that together they weigh
// less than apart. It comes as soon as the page is idle, since a nurse at the chair waits for the treatment.
export { default as access } from "./access";
export { default as referrals } from "./referrals";
export { default as review } from "./review";
export { default as tests } from "./tests";
export { TreatmentScreen as treatment } from "./treatment/TreatmentScreen";

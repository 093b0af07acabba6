// The treatment screen as a piece of its own, fetched when it is needed.
export { TreatmentScreen as default } from "./TreatmentScreen";

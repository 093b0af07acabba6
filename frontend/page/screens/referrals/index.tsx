// Referrals: the list, or one of them as a sheet.
import type { ScreenProps } from "../screens";
import { ReferralList } from "./ReferralList";
import { ReferralSheet } from "./ReferralSheet";
import "../../styles/sheet.css";
import "./referrals.css";

export default function ReferralsScreen({ params }: ScreenProps) {
  const id = params["id"];
  return id ? <ReferralSheet id={id} /> : <ReferralList />;
}

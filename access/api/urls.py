"""The addresses under /api/v1/, one line each, by hand."""

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.views import SpectacularJSONAPIView

from access.api import (
    accesses,
    bench,
    measured,
    patients,
    protocol,
    referrals,
    review,
    session,
    tables,
    today,
    treatments,
    weighed,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("accesses/<uuid:access>", accesses.AccessResource.as_view()),
    path("accesses/<uuid:access>/side", accesses.SideResource.as_view()),
    path("accesses/<uuid:access>/weighed", weighed.WeighedResource.as_view()),
    path("bench-tables", bench.BenchTablesResource.as_view()),
    path("bench-tables/<uuid:record>", bench.BenchTableResource.as_view()),
    path("decisions/<uuid:decision>", review.DecisionResource.as_view()),
    path("flags/<uuid:flag>/close", review.FlagCloseResource.as_view()),
    path("moves", patients.MovesResource.as_view()),
    path("moves/<uuid:move>/accept", patients.MoveAcceptResource.as_view()),
    path("patients", patients.PatientsResource.as_view()),
    path("patients/<uuid:patient>/move", patients.MoveResource.as_view()),
    path("patients/<uuid:patient>/tests", patients.PatientTestsResource.as_view()),
    path("protocol", protocol.ProtocolResource.as_view()),
    path("protocol/limits/<str:limit>", protocol.LimitResource.as_view()),
    path("referrals", referrals.ReferralsResource.as_view()),
    path("referrals/<uuid:referral>", referrals.ReferralResource.as_view()),
    path("referrals/<uuid:referral>/acknowledge", referrals.AcknowledgeResource.as_view()),
    path("referrals/<uuid:referral>/decide", referrals.DecideResource.as_view()),
    path("referrals/<uuid:referral>/document", referrals.DocumentResource.as_view()),
    path("referrals/<uuid:referral>/outcome", referrals.OutcomeResource.as_view()),
    path("referrals/<uuid:referral>/send", referrals.SendResource.as_view()),
    path("referrals/<uuid:referral>/withdraw", referrals.WithdrawResource.as_view()),
    path("review", review.ReviewResource.as_view()),
    path("schema", SpectacularJSONAPIView.as_view()),
    path("session", session.SessionResource.as_view()),
    path("session/clinic", session.ClinicChoiceResource.as_view()),
    path("tables", tables.TablesResource.as_view()),
    path("today", today.TodayResource.as_view()),
    path("treatments/<uuid:treatment>", treatments.TreatmentResource.as_view()),
    path("treatments/<uuid:treatment>/error", treatments.TreatmentErrorResource.as_view()),
    path("treatments/<uuid:treatment>/pairing", treatments.PairingResource.as_view()),
    *[path(measured.address(name), measured.resource(kind).as_view()) for name, kind in measured.KINDS.items()],
]

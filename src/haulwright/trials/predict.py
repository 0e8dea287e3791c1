"""What a campaign says of a rig that was not pulled: its advantage, how sure that is, and what it rests on."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar

from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignFolder
from haulwright.files.faults import nearest
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sentence import sentence
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import spoken
from haulwright.records import Made, Record
from haulwright.trials.campaign import fit_campaign
from haulwright.trials.campaign_runs import model_of
from haulwright.trials.friction import RigModel, rig_model
from haulwright.trials.load_dependence import START_K
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.result import CampaignResult, Configuration, LeftOut, RunScatter

_WRAP_APART_rad = math.radians(10.0)  # a wrap within this of those tested counts as tested (house rule)


@dataclass(frozen=True)
class DeviceUsed:
    """Friction of one device as a prediction uses it.

    Attributes
    ----------
    k, efficiency : Measured
        At the load asked for, or where k is stated; 1 ÷ k.
    load_exponent : Measured or None
        Where k changes with the load.
    haul_N : (float, float) or None
        Least and greatest haul-side tension it would see [N]; None without a load.
    valid_N : (float, float) or None
        Those it was tested at [N].
    inside : bool or None
        Whether the first lies in the second; None where one of the two is not known.
    """

    k: Measured
    efficiency: Measured
    load_exponent: Measured | None = None
    haul_N: tuple[float, float] | None = None
    valid_N: tuple[float, float] | None = None
    inside: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Prediction(Record):
    """Advantage of a rig from the friction a campaign found, for a rig that need not have been tested.

    ``advantage`` and ``winch_share`` are those of the mean of many pulls, with ``_one_pull`` of a single new one.
    ``tested`` is the same rig with the same devices, where the campaign pulled it.
    """

    kind: ClassVar[str] = "prediction"
    campaign: str
    rig: str
    path: str
    sentence: str
    devices: tuple[str, ...]
    load_N: float | None
    frictionless: float
    advantage: Measured
    advantage_one_pull: Measured
    winch_share: Measured
    winch_share_one_pull: Measured
    effort_N: Measured | None
    friction: Mapping[str, DeviceUsed]
    valid_load_N: tuple[float, float] | None
    tested: Configuration | None = None
    scatter: RunScatter | None = None
    left_out: tuple[LeftOut, ...] = field(default=())


def predict_rig(
    folder: CampaignFolder,
    result: CampaignResult,
    rig: Rig,
    devices: Sequence[str],
    *,
    load_N: float | None = None,
) -> Prediction:
    """Return the advantage of a rig from the friction of a measured campaign.

    Parameters
    ----------
    folder : CampaignFolder
    result : CampaignResult
        What :func:`haulwright.trials.campaign.measure_campaign` returned for it.
    rig : Rig
        With one winch; angles between the parts, and blocks that find their place, are the solver's matter.
    devices : sequence of str
        One for each block from the drum.
    load_N : float or None
        Resistance of the load [N].

    Returns
    -------
    Prediction

    Raises
    ------
    TrialRefusal
        UNKNOWN_DEVICE, NOT_MEASURED, NOT_IDENTIFIED: a device the campaign says nothing of, by name. DEVICES: their
        number is not that of the blocks. NUMBER: a load that is not above 0.

    Notes
    -----
    ln A from the solver at the fitted ratios; its variance from the full covariance of the fit, to first order; one new
    pull adds the scatter between set-ups. Range of the load: every device between the least and the greatest haul-side
    tension it was tested at.
    """
    refuse_early(folder, rig, devices, load_N)
    fit = fit_campaign(folder, result)
    if load_N is not None:
        rig = replace(rig, resistance_N=load_N)
    _refuse_untold(result, fit, devices)
    model = fit.model(rig, devices)
    mean = fit.predict(rig, devices, load_N=load_N, one_pull=False)
    one = fit.predict(rig, devices, load_N=load_N)
    used, shares = _used(fit, model, load_N, mean.value)
    valid = _valid_load(used, shares, mean.value)
    share = _inverse(one)
    return Prediction(
        campaign=result.name,
        rig=rig.name,
        path=rig.path,
        sentence=sentence(rig),
        devices=model.devices,
        load_N=load_N,
        frictionless=model.frictionless,
        advantage=mean,
        advantage_one_pull=one,
        winch_share=_inverse(mean),
        winch_share_one_pull=share,
        effort_N=None if load_N is None else _times(share, load_N),
        friction=used,
        valid_load_N=valid,
        tested=_tested(result, rig, model.devices),
        scatter=result.scatter,
        left_out=result.left_out,
        notices=(
            *_standing(result),
            *_of_load(used, load_N, valid),
            *_of_wraps(folder, result, model),
            *(n for n in fit.notices if n.level == "warning" and not set(n.where) & set(fit.unidentified)),
        ),
        made=Made(
            "advantage from the solver at the ratios fitted over all runs; full covariance of the fit, scatter between "
            "set-ups for one new pull",
            {
                "folder": folder.path.name,
                "rig": rig.path or rig.name,
                "devices": model.devices,
                "load_N": load_N,
                "fitted": fit.runs,
            },
            result.made.sources if result.made else (),
        ),
    )


def refuse_early(
    folder: CampaignFolder, rig: Rig, devices: Sequence[str], load_N: float | None = None
) -> None:
    """Refuse what can be seen to be wrong before anything is measured.

    Parameters
    ----------
    folder : CampaignFolder
    rig : Rig
    devices : sequence of str
    load_N : float or None
        Resistance of the load [N].

    Raises
    ------
    TrialRefusal
        NUMBER, DEVICES, UNKNOWN_DEVICE as :func:`predict_rig`.
    """
    name_of, known = folder.spec.name, folder.spec.devices
    if load_N is not None and not load_N > 0.0:
        raise TrialRefusal("NUMBER", f"load = {load_N:g} N: give a resistance above 0.", ("load",))
    if not rig.contacts_from_drum:
        raise TrialRefusal(
            "DEVICES",
            f"{rig.name} has no block: its advantage is 1, there is nothing to predict.",
            (rig.name,),
        )
    if not devices:
        blocks = ", ".join(dict.fromkeys(rig.contacts_from_drum))
        raise TrialRefusal(
            "DEVICES",
            f"{rig.name}: name a device for each block, from the drum ({blocks}). {name_of} has {', '.join(known)}.",
            (rig.name,),
        )
    for name in devices:
        if name not in known:
            raise TrialRefusal(
                "UNKNOWN_DEVICE", f"{name} is no device of {name_of}: {nearest(name, known)}", (name,)
            )
    rig_model(rig, devices)


def _refuse_untold(result: CampaignResult, fit: FrictionFit, devices: Sequence[str]) -> None:
    """Refuse, by name, a device the runs do not tell the friction of."""
    known = ", ".join(fit.names) or "none"
    pulled = {name for run in result.runs for name in run.devices}
    for name in devices:
        if name not in pulled:
            raise TrialRefusal(
                "NOT_MEASURED",
                f"{name}: no run of {result.name} with it gives a number, so nothing is predicted with it. Pull it, or "
                f"take one of those measured ({known}).",
                (name,),
            )
        if name in fit.unidentified or name not in fit.names:
            raise TrialRefusal(
                "NOT_IDENTIFIED",
                f"{name}: the runs of {result.name} do not tell its friction from that of what it was pulled with, so "
                f"nothing is predicted with it. Pull it in another rig too (known: {known}).",
                (name,),
            )
        if fit.devices[name].k.value < 1.0:
            raise TrialRefusal(
                "NOT_IDENTIFIED",
                f"{name}: its fitted k is {fit.devices[name].k.value:.3f}, below 1, which no device can do; nothing is "
                "predicted with it. Check zero, cells and their gain.",
                (name,),
            )


def _used(
    fit: FrictionFit, model: RigModel, load_N: float | None, advantage: float
) -> tuple[dict[str, DeviceUsed], dict[str, tuple[float, float]]]:
    """Return each device as used, and its haul-side tensions as shares of the line force."""
    shares = model.haul_shares(fit.log_k_at(model, fit.found, load_N))
    found = {}
    for name in model.unknowns:
        device = fit.devices[name]
        k = device.k
        if load_N is not None and device.load_exponent is not None:
            k = fit.carried(lambda x, name=name: fit.log_k_at(model, x, load_N)[name])  # type: ignore[misc]
        haul = inside = None
        if load_N is not None:
            low, high = (share * load_N / advantage for share in shares[name])
            haul = (low, high)
        if haul and device.valid_N:
            inside = device.valid_N[0] <= haul[0] and haul[1] <= device.valid_N[1]
        found[name] = DeviceUsed(k, _inverse(k), device.load_exponent, haul, device.valid_N, inside)
    return found, shares


def _valid_load(
    used: Mapping[str, DeviceUsed], shares: Mapping[str, tuple[float, float]], advantage: float
) -> tuple[float, float] | None:
    """Return the loads at which every device sees tensions it was tested at [N]; None where there are none."""
    low, high = 0.0, math.inf
    for name, one in used.items():
        if one.valid_N is None:
            return None
        least, greatest = shares[name]
        low, high = max(low, one.valid_N[0] / least), min(high, one.valid_N[1] / greatest)
    return (low * advantage, high * advantage) if low < high else None


def _tested(result: CampaignResult, rig: Rig, devices: tuple[str, ...]) -> Configuration | None:
    """Return the configuration of the campaign that is this rig with these devices."""
    if not rig.path:
        return None
    runs = {run.run for run in result.runs if run.path == rig.path and run.devices == devices}
    return next((one for one in result.configurations if runs & set(one.runs)), None)


def _standing(result: CampaignResult) -> list[Notice]:
    invented = [n for n in result.notices if n.code == Code.INVENTED.name]
    always = (Code.ESTIMATE, Code.FRICTION_NO_EXCUSE, Code.NO_STANDING, Code.TESTED_ONLY, Code.DEFER)
    return [*invented, *(code.notice() for code in always)]


def _of_load(
    used: Mapping[str, DeviceUsed], load_N: float | None, valid: tuple[float, float] | None
) -> list[Notice]:
    """Say where the load lies outside what was measured, and whether the friction depends on it."""
    told = []
    for name, one in used.items():
        if one.inside is False and one.haul_N and one.valid_N:
            text = (
                f"{name} would see {_ends(one.haul_N)} in the line; it was tested at {_ends(one.valid_N)}. Outside that its "
                "friction is not known, and the interval does not hold this."
            )
            told.append(Code.OUT_OF_RANGE.notice((name,), text=text))
    if load_N is None and valid is None:
        text = "No load keeps every device within the tensions it was tested at: this rig lies outside what was measured."
        told.append(Code.OUT_OF_RANGE.notice(tuple(used), text=text))
    changing = [name for name, one in used.items() if one.load_exponent is not None]
    if changing and load_N is None:
        text = f"{' and '.join(changing)}: k changes with the load and stands at the load it is stated at; give the load (--load)."
        told.append(Code.OUT_OF_RANGE.notice(tuple(changing), text=text))
    elif load_N is not None and not changing:
        text = "No change of k with the load was seen, so the same k is used at any load."
        told.append(Code.ADVICE.notice(tuple(used), text=text))
    return told


def _of_wraps(folder: CampaignFolder, result: CampaignResult, model: RigModel) -> list[Notice]:
    """Say which device would be wrapped otherwise than it was tested."""
    pulled = {run.run for run in result.runs}
    tested: dict[str, list[float]] = {}
    seen = set()
    for entry in folder.runs:
        key = (entry.rig, entry.devices)
        if entry.run in pulled and entry.devices and key not in seen:
            seen.add(key)
            for name, wraps in _wraps(model_of(folder, entry)).items():
                tested.setdefault(name, []).extend(wraps)
    told = []
    for name, wraps in _wraps(model).items():
        low, high = min(tested[name]), max(tested[name])
        if low - min(wraps) < _WRAP_APART_rad and max(wraps) - high < _WRAP_APART_rad:
            continue
        rule = (
            "its k is taken to follow the wrap"
            if name in model.by_wrap
            else "its k is taken as the same there"
        )
        text = f"{name} would be wrapped by {_degrees(wraps)}; it was tested at {_degrees(tested[name])}: {rule}, untested."
        told.append(Code.OUT_OF_RANGE.notice((name,), text=text))
    return told


def _wraps(model: RigModel) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for contact in model.solution(dict.fromkeys(model.unknowns, math.log(START_K))).contacts:
        found.setdefault(model.device_of[contact.at], []).append(contact.wrap_rad)
    return found


def _degrees(wraps: Sequence[float]) -> str:
    low, high = (f"{math.degrees(wrap):.0f}" for wrap in (min(wraps), max(wraps)))
    return f"{low}°" if low == high else f"{low} to {high}°"


def _ends(ends: tuple[float, float]) -> str:
    low, high = (spoken(end) for end in ends)
    return low if low == high else f"{low} to {high}"


def _inverse(m: Measured) -> Measured:
    return Measured(1.0 / m.value, m.u / m.value**2, 1.0 / m.hi, 1.0 / m.lo)


def _times(m: Measured, factor: float) -> Measured:
    return Measured(m.value * factor, m.u * factor, m.lo * factor, m.hi * factor)

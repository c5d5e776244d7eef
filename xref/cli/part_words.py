"""Symbols and units of the keys that part files use, as the trade writes them (IEC 60747 letter symbols)."""

from __future__ import annotations

SECTIONS = (
    ("Emitter", "emitter"),
    ("Detector", "detector"),
    ("Emitter to detector", "coupling"),
    ("Slot", "slot"),
    ("Body", "geometry"),
)

UNITS = {
    "na": "nA", "ua": "uA", "ma": "mA", "mv": "mV", "v": "V", "a": "A", "ohm": "ohm", "mohm": "mohm", "us": "us",
    "ms": "ms", "mw": "mW", "nm": "nm", "mm": "mm", "c": "C", "n": "N", "pct": "%", "hz": "Hz", "sr": "mW/sr",
    "cm2": "mW/cm2",
}  # fmt: skip

WORDS = {
    "wavelength_nm": "wavelength", "vf_v": "VF", "if_max_ma": "IF max", "if_peak_ma": "IF peak", "vr_max_v": "VR max",
    "ir_ua": "IR", "p_max_mw": "power max", "radiant_mw_sr": "radiant intensity", "resistor_ohm": "built-in resistor",
    "vceo_max_v": "VCEO max", "veco_max_v": "VECO max", "ic_max_ma": "IC max", "ic_peak_max_ma": "IC peak",
    "iceo_na": "ICEO (dark)", "vce_sat_v": "VCE(sat)", "vcc_v": "VCC", "vcc_abs_max_v": "VCC max", "icc_ma": "ICC",
    "vol_v": "VOL", "voh_v": "VOH", "ioh_ua": "IOH", "ift_ma": "IF to switch", "io_max_ma": "IO max",
    "vo_max_v": "VO max", "pull_up_ohm": "built-in pull-up", "light_current_ma": "light current", "ic_ma": "IC",
    "ic_bins_ma": "IC bins", "peak_distance_mm": "strongest at", "distance_curve": "mm:share of IC",
    "crosstalk_ua": "crosstalk", "tr_us": "tr", "tf_us": "tf", "ton_us": "ton", "toff_us": "toff",
    "tprop_low_high_us": "delay, low to high", "tprop_high_low_us": "delay, high to low", "gap_mm": "width",
    "depth_mm": "depth", "aperture_mm": "aperture", "direction": "open at", "floor_mm": "floor above board",
    "pitch_mm": "pitch", "row_mm": "row distance", "mount": "mount", "lead_length_mm": "free leads",
    "uncertain_mm": "place uncertain", "size_mm": "l x w x h", "body_mm": "x by y (leads)",
    "optical_axis_mm": "optical axis", "beam_height_mm": "beam above board", "senses": "looks",
    "resistance_mohm": "contact resistance", "resistance_after_life_mohm": "contact resistance, end of life",
    "resistance_measured": "measured with", "bounce_ms": "bounce", "force_n": "force",
    "release_force_n": "release force",
    "travel_mm": "travel", "life_cycles": "life, cycles", "contact_form": "contact form",
    "at_min": "operates from (ampere-turns)", "at_max": "to (ampere-turns)", "glass_length_mm": "glass length",
    "glass_diameter_mm": "glass diameter",
    "if_ma": "IF", "vce_v": "VCE", "vr_v": "VR", "vo_v": "VO", "iol_ma": "IOL", "ioh_ma": "IOH", "rl_ohm": "RL",
    "distance_mm": "distance", "ee_mw_cm2": "irradiance", "temp_c": "temperature", "pulse_us": "pulse",
    "duty_pct": "duty", "v_v": "V", "i_ma": "I", "rate_hz": "rate",
}  # fmt: skip


def unit_of(key: str) -> str:
    """The unit that a key ends in, as printed; empty for a plain word."""
    return UNITS.get(key.rsplit("_", 1)[-1], "") if "_" in key else ""


def quantity_of(key: str, number: float) -> str:
    """A condition in words: ``IF 20 mA``."""
    return f"{WORDS.get(key, key)} {number:g} {unit_of(key)}".rstrip()

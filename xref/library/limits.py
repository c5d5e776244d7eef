"""The span in which a printed number is plausible, by key; outside it the unit was most likely misread.

Common practice, no source: spans are wide on purpose. They catch a factor of a thousand, not an odd part.
"""

from __future__ import annotations

from typing import Any

LIMITS: dict[str, tuple[float, float]] = {
    "vf_v": (0.5, 8), "if_ma": (0.01, 2000), "if_max_ma": (1, 1000), "if_peak_ma": (5, 10000), "vr_max_v": (0.3, 200),
    "vr_v": (0, 200), "ir_ua": (0.0001, 1000), "p_max_mw": (5, 2000), "wavelength_nm": (350, 1700),
    "radiant_mw_sr": (0.01, 5000), "resistor_ohm": (1, 10000), "pull_up_ohm": (500, 1e6),
    "ic_ma": (0.00001, 300), "ic_max_ma": (0.5, 500), "ic_peak_max_ma": (0.5, 1000), "ic_bins_ma": (0.0001, 300),
    "light_current_ma": (0.00001, 300), "iceo_na": (0.01, 1e6), "vce_sat_v": (0.01, 3), "vceo_max_v": (4, 200),
    "veco_max_v": (0.3, 100), "vce_v": (0.05, 200), "vcc_v": (0.9, 50), "vcc_abs_max_v": (2, 60), "vo_v": (0.01, 60),
    "vo_max_v": (0.3, 60), "icc_ma": (0.0005, 200), "vol_v": (0.01, 5), "voh_v": (0.5, 50), "ioh_ua": (0.001, 1000),
    "ift_ma": (0.1, 200), "io_max_ma": (0.1, 500), "iol_ma": (0.01, 500), "ioh_ma": (0.0005, 100),
    "crosstalk_ua": (0.00001, 1000), "rl_ohm": (10, 1e7), "ee_mw_cm2": (0.001, 1000),
    "tr_us": (0.001, 1e5), "tf_us": (0.001, 1e5), "ton_us": (0.001, 1e5), "toff_us": (0.001, 1e5),
    "tprop_low_high_us": (0.001, 1e5), "tprop_high_low_us": (0.001, 1e5), "pulse_us": (0.01, 1e7),
    "duty_pct": (0.001, 100), "distance_mm": (0, 2000), "peak_distance_mm": (0, 500),
    "gap_mm": (0.5, 150), "depth_mm": (0.5, 150), "aperture_mm": (0.05, 30), "floor_mm": (0, 100),
    "pitch_mm": (0.3, 60), "row_mm": (0.5, 200), "lead_length_mm": (0.2, 1000), "size_mm": (0.4, 300),
    "body_mm": (0.4, 300), "beam_height_mm": (0, 150), "diameter_mm": (0.3, 15), "at_mm": (-200, 200),
    "optical_axis_mm": (-100, 100), "temp_c": (-100, 300), "channels": (1, 16), "lead_count": (1, 64),
    "v": (0.001, 1000), "a": (0.000001, 60), "va": (0.000001, 10000), "low_v": (0.0001, 60), "low_ma": (0.00001, 1000),
    "resistance_mohm": (0.1, 1e5), "resistance_after_life_mohm": (0.1, 1e6), "bounce_ms": (0.001, 200),
    "force_n": (0.005, 100), "release_force_n": (0.001, 100), "travel_mm": (0.001, 100), "life_cycles": (10, 1e10),
    "poles": (1, 30), "throws": (1, 30), "positions": (1, 60),
}  # fmt: skip


def limit_for(steps: tuple[Any, ...]) -> str | None:
    """The key of LIMITS that rules the number at a path, or None: the innermost key that has a limit."""
    for step in reversed(steps):
        if isinstance(step, str) and step in LIMITS:
            return step
        if step in ("reed", "uncertain_mm", "distance_curve"):
            return None
    return None

"""`make benchmark`: every figure of speed, as it is on this machine."""

from __future__ import annotations

from tests.benchmark import answer_speed, inference_speed, measure_speed, start_up

if __name__ == "__main__":
    start_up.main()
    answer_speed.main()
    inference_speed.main()
    measure_speed.main()

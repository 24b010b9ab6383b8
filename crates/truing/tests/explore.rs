use metrology::quantity::*;
use truing::measure::drive::*;
use truing::simulate::*;

#[test]
fn explore() {
    for (steps, reported) in [(Steps::Rounded, None), (Steps::CutOff, None), (Steps::Rounded, Some(0.1)), (Steps::None, Some(0.1))] {
        let (mut covered, mut lag_covered, mut worst_lag, mut sum, mut sum2, mut us, mut dist_cov, mut off) = (0, 0, 0.0f64, 0.0, 0.0, 0.0, 0, 0.0);
        let mut dsum = 0.0; let mut du = 0.0; let mut kinds = std::collections::BTreeMap::new();
        let n = 60;
        for seed in 0..n {
            let lag = (seed as f64 * 7.13) % 60.0 - 30.0;
            let ratio = 0.9 + 0.2 * (seed as f64 * 0.37).fract();
            let plan = Plan { steps, reported_speed_error: reported.map(Speed::from_m_per_s), ..Plan::mixed(seed, ratio, Duration::from_s(lag)) };
            let d = drive(&plan);
            let (e, p) = estimate("sim", &d.track, &Indicated::Log(d.vehicle));
            let e = e.unwrap_or_else(|| panic!("{p:?}"));
            let r = e.reading_ratio.unwrap();
            let err = r.value.plain() / ratio - 1.0;
            if r.low_95.plain() <= ratio && ratio <= r.high_95.plain() { covered += 1; } else { println!("miss seed {seed} err {:.4}% u {:.4}%", err*100.0, 100.0*r.standard_uncertainty.plain()); }
            sum += err; sum2 += err*err; us += r.standard_uncertainty.plain();
            if let Some(l) = e.clock_lag { if seed < 12 { println!("lag {lag:.2} err {:.3} u {:.3} used {}", l.value.s()-lag, l.standard_uncertainty.s(), e.points.used); } worst_lag = worst_lag.max((l.value.s()-lag).abs()); if l.low_95.s() <= lag && lag <= l.high_95.s() { lag_covered += 1; } } else { println!("no lag {seed}"); }
            let de = e.distance.value.m() - d.distance.m();
            dsum += de / d.distance.m(); du += e.distance.standard_uncertainty.m()/d.distance.m();
            if de.abs() < 2.0*e.distance.standard_uncertainty.m() { dist_cov += 1; }
            off += e.offset.unwrap().value.m_per_s();
            *kinds.entry(format!("{:?}", e.diagnosis.kind)).or_insert(0) += 1;
        }
        let n = n as f64;
        println!("{steps:?} {reported:?}: cover {covered} bias {:.4}% sd {:.4}% mean u {:.4}%  lag cov {lag_covered} worst {worst_lag:.3}  dist cov {dist_cov} bias {:.4}% u {:.4}% off {:.3} {kinds:?}", 100.0*sum/n, 100.0*(sum2/n).sqrt(), 100.0*us/n, 100.0*dsum/n, 100.0*du/n, off/n);
    }
}

use metrology::quantity::*;
use truing::measure::drive::*;
use truing::simulate::*;

#[test]
fn explore2() {
    for (slow, white, rep, cut) in [(0.0, 0.05, None,false), (2.5, 0.05, None,false), (0.0, 0.6, None,false), (2.5, 0.6, None,false), (2.5,0.6,None,true), (0.0, 0.05, None,true), (2.5, 0.6, Some(0.1), true)] {
        let (mut sum, mut us, mut off, mut offu, mut bd) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let n = 40;
        for seed in 0..n {
            let ratio = 1.0;
            let plan = Plan { steps: if cut {Steps::CutOff} else {Steps::None}, slow_error: Length::from_m(slow), white_error: Length::from_m(white), reported_speed_error: rep.map(Speed::from_m_per_s), ..Plan::mixed(seed, ratio, Duration::from_s(3.3)) };
            let d = drive(&plan);
            let (e, p) = estimate("sim", &d.track, &Indicated::Log(d.vehicle));
            let e = e.unwrap_or_else(|| panic!("{p:?}"));
            let r = e.reading_ratio.unwrap();
            sum += r.value.plain() / ratio - 1.0; us += r.standard_uncertainty.plain();
            off += e.offset.unwrap().value.m_per_s(); offu += e.offset.unwrap().standard_uncertainty.m_per_s();
            bd += e.ratio_by_distance.unwrap().value.plain() / ratio - 1.0;
            if seed < 3 { println!("   {}", e.diagnosis.sentence); }
        }
        let n = n as f64;
        println!("slow {slow} white {white} {rep:?} {cut}: bias {:.4}% u {:.4}% off {:.4} u {:.4} bydist {:.4}%", 100.0*sum/n, 100.0*us/n, off/n, offu/n, 100.0*bd/n);
    }
}

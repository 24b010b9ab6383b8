use metrology::quantity::*;
use truing::measure::drive::*;
use truing::logs::*;

fn show(name: &str, t: &Track, v: VehicleLog) {
    let (e, p) = estimate(name, t, &Indicated::Log(v));
    for p in p { println!("{p}"); }
    let Some(e) = e else { println!("{name}: NONE"); return };
    let f = |m: Option<metrology::measured::Measured<Ratio>>| m.map(|m| format!("{:.4} u {:.4} [{:.4},{:.4}]", m.value.plain(), m.standard_uncertainty.plain(), m.low_95.plain(), m.high_95.plain())).unwrap_or_default();
    println!("{name}: R {} bydist {} off {:?} lag {:?} dist {:.0} u {:.1} used {} rej {:?}\n   {:?} {}", f(e.reading_ratio), f(e.ratio_by_distance), e.offset.map(|o| (o.value.m_per_s(), o.standard_uncertainty.m_per_s())), e.clock_lag.map(|l| (l.value.s(), l.standard_uncertainty.s())), e.distance.value.m(), e.distance.standard_uncertainty.m(), e.points.used, e.points.rejected, e.diagnosis.kind, e.diagnosis.sentence);
}

#[test]
fn explore3() {
    let d = "/work/shared/data/";
    for f in ["ins-two-cities/Speed_StereoVO_OBDII_Reference_Kingston_K19_1.csv", "ins-two-cities/Speed_StereoVO_OBDII_Reference_Toronto_T19_2.csv"] {
        let text = std::fs::read_to_string(format!("{d}{f}")).unwrap();
        let mut t = Track { clock: Clock::Elapsed, ..Default::default() }; let mut v = VehicleLog { clock: Clock::Elapsed, step: Some(Speed::from_km_per_h(1.0)), ..Default::default() };
        for l in text.lines().skip(1) { let c: Vec<f64> = l.split(',').take(3).map(|x| x.parse().unwrap()).collect();
            t.fixes.push(Fix { time: Some(Instant::from_s(c[0])), speed: Some(Speed::from_m_per_s(c[1])), ..Default::default() });
            v.samples.push(Sample { line: 0, time: Instant::from_s(c[0]), speed: Speed::from_m_per_s(c[2]) }); }
        show(f, &t, v.clone());
        // halves
        let h = t.fixes.len() / 4;
        for k in 0..4 { let tt = Track { fixes: t.fixes[k*h..(k+1)*h].to_vec(), clock: Clock::Elapsed }; let vv = VehicleLog { samples: v.samples[k*h..(k+1)*h].to_vec(), ..v.clone() }; show("  quarter", &tt, vv); }
    }
    for f in ["obd-two-clocks/trip_with_obd.txt", "obd-two-clocks/trip2_with_obd.txt"] { for with_speed in [true, false] {
        let text = std::fs::read_to_string(format!("{d}{f}")).unwrap();
        let mut t = Track { clock: Clock::Absolute, ..Default::default() }; let mut v = VehicleLog { clock: Clock::Absolute, step: Some(Speed::from_km_per_h(1.0)), ..Default::default() };
        for l in text.lines() { let c: Vec<&str> = l.split(';').collect(); let Ok(ms) = c[0].parse::<f64>() else { continue };
            if c[1] == "010D" { if let Ok(x) = c[2].parse::<f64>() { v.samples.push(Sample { line: 0, time: Instant::from_s(ms/1e3), speed: Speed::from_km_per_h(x) }); } }
            else { let g: Vec<f64> = c[2].split(':').map(|x| x.parse().unwrap_or(f64::NAN)).collect();
                t.fixes.push(Fix { time: Some(Instant::from_s(ms/1e3)), latitude: Some(Angle::from_deg(g[0])), longitude: Some(Angle::from_deg(g[1])), speed: with_speed.then(|| Speed::from_m_per_s(g[2])), ..Default::default() }); } }
        show(f, &t, v);
    } }
    // city survey: ECEF -> east north approx by speeds from positions: use lat/lon conversion
    let text = std::fs::read_to_string(format!("{d}city-survey/Berlin_Potsdamer_Platz_GT.txt")).unwrap();
    let mut t = Track { clock: Clock::Elapsed, ..Default::default() };
    for l in text.lines() { let c: Vec<&str> = l.split_whitespace().collect(); let x: Vec<f64> = c[1..5].iter().map(|x| x.parse().unwrap()).collect();
        let (px,py,pz) = (x[1],x[2],x[3]); let lon = py.atan2(px); let p = (px*px+py*py).sqrt(); let e2: f64 = 6.69437999014e-3; let mut lat = pz.atan2(p*(1.0-e2)); for _ in 0..6 { let n = 6378137.0/(1.0-e2*lat.sin().powi(2)).sqrt(); let h = p/lat.cos()-n; lat = pz.atan2(p*(1.0-e2*n/(n+h))); }
        t.fixes.push(Fix { time: Some(Instant::from_s(x[0])), latitude: Some(Angle::from_rad(lat)), longitude: Some(Angle::from_rad(lon)), ..Default::default() }); }
    let text = std::fs::read_to_string(format!("{d}city-survey/odometry_only.txt")).unwrap();
    let mut v = VehicleLog { clock: Clock::Elapsed, ..Default::default() };
    for l in text.lines() { let c: Vec<&str> = l.split_whitespace().collect(); if c[0] == "odom3" { v.samples.push(Sample { line: 0, time: Instant::from_s(c[1].parse().unwrap()), speed: Speed::from_m_per_s(c[2].parse().unwrap()) }); } }
    show("city", &t, v);
    // can one minute
    let text = std::fs::read_to_string(format!("{d}can-one-minute/global_pose.csv")).unwrap();
    println!("{}", text.lines().next().unwrap());
    for f in ["can_speed.csv", "can_wheel_speed.csv", "gnss_ublox.csv"] { let t = std::fs::read_to_string(format!("{d}can-one-minute/{f}")).unwrap(); for l in t.lines().take(3) { println!("{l}"); } }
}

//! Which addresses are of the same network, and which of them this machine has.

use std::net::{IpAddr, Ipv4Addr};

/// The ranges for private networks (RFC 1918), for links without any server (RFC 3927), and the unique local ones of IPv6
/// (RFC 4193), each with the length of its prefix.
pub const PRIVATE: [(IpAddr, u8); 5] = [
    (IpAddr::V4(Ipv4Addr::new(10, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(172, 16, 0, 0)), 12),
    (IpAddr::V4(Ipv4Addr::new(192, 168, 0, 0)), 16),
    (IpAddr::V4(Ipv4Addr::new(169, 254, 0, 0)), 16),
    (IpAddr::V6(std::net::Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0)), 7),
];

/// Whether an address is of a private range.
pub fn is_private(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => address.is_private() || address.is_link_local(),
        IpAddr::V6(address) => address.is_unique_local(),
    }
}

/// Whether whoever asks from an address is this machine or in its network. Anybody else is not answered.
pub fn is_near(peer: IpAddr) -> bool {
    peer.is_loopback() || is_private(peer)
}

/// The private addresses of this machine at this moment, in order. Of version 4 only, as it listens on those.
pub fn own() -> Vec<IpAddr> {
    let found = if_addrs::get_if_addrs().unwrap_or_default();
    let mut own: Vec<IpAddr> = found.iter().map(if_addrs::Interface::ip).collect();
    own.retain(|address| address.is_ipv4() && !address.is_loopback() && is_private(*address));
    own.sort_unstable();
    own.dedup();
    own
}

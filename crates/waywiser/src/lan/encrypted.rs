//! Lines from the network: encrypted, from near, and in time.

use super::failure::failed;
use super::near::is_near;
use super::network::{Network, Shown};
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;
use truing::problem::Problem;

/// An encrypted line.
pub type Line = TlsStream<TcpStream>;

/// How long agreeing on encryption may take; a phone in a yard may have little of a network (judgement).
const AGREED_WITHIN: Duration = Duration::from_secs(10);
/// The first byte of an encrypted line (RFC 8446, section 5.1: a handshake).
const HANDSHAKE: u8 = 22;
/// How much of a plain question is read before it is answered.
const PLAIN_BYTES: usize = 4096;

/// What every line from the network goes through.
#[derive(Clone)]
pub struct Encrypted {
    acceptor: TlsAcceptor,
    network: Arc<Network>,
}

impl Encrypted {
    /// Encrypted as this network's certificates say.
    pub fn new(network: Arc<Network>) -> Result<Self, Box<Problem>> {
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let builder = rustls::ServerConfig::builder_with_provider(provider)
            .with_protocol_versions(&[&rustls::version::TLS13])
            .map_err(|error| failed("TLS 1.3", &error))?;
        let shown = Arc::new(Shown(network.clone()));
        let mut config = builder.with_no_client_auth().with_cert_resolver(shown);
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(Self { acceptor: TlsAcceptor::from(Arc::new(config)), network })
    }

    /// A line, once it is encrypted; none where it is from elsewhere, plain or late.
    pub async fn opened(&self, mut stream: TcpStream, peer: SocketAddr) -> Option<Line> {
        if !is_near(peer.ip()) {
            return None;
        }
        let mut first = [0];
        let peeked = timeout(AGREED_WITHIN, stream.peek(&mut first)).await.ok()?.ok()?;
        if peeked == 1 && first != [HANDSHAKE] {
            let _ = timeout(AGREED_WITHIN, self.refuse(&mut stream)).await;
            return None;
        }
        timeout(AGREED_WITHIN, self.acceptor.accept(stream)).await.ok()?.ok()
    }

    /// Whoever asks in the plain is told how to.
    async fn refuse(&self, stream: &mut TcpStream) -> std::io::Result<()> {
        let _ = stream.read(&mut [0; PLAIN_BYTES]).await?;
        let says = format!(
            "Nothing is answered here that is not encrypted. Type https:// before the address: {}/run\n",
            self.network.origin()
        );
        let length = says.len();
        let head =
            "HTTP/1.1 400 Bad Request\r\ncontent-type: text/plain; charset=utf-8\r\nconnection: close\r\n";
        stream.write_all(format!("{head}content-length: {length}\r\n\r\n{says}").as_bytes()).await?;
        stream.shutdown().await
    }
}

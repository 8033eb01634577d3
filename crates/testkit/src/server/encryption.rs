//! TLS for the server: a certificate authority made on the spot, and a certificate of it for this machine.

use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair, KeyUsagePurpose};
use rustls::pki_types::{PrivateKeyDer, PrivatePkcs8KeyDer};
use rustls::{ServerConfig, ServerConnection, StreamOwned};
use std::io::{Error, Result, Write};
use std::net::TcpStream;
use std::sync::Arc;

pub(super) struct Encryption {
    /// The authority's certificate, PEM.
    pub(super) root: String,
    config: Arc<ServerConfig>,
}

/// Says goodbye as TLS has it, so that an end is told from a cut.
pub(super) struct Stream(StreamOwned<ServerConnection, TcpStream>);

impl Encryption {
    pub(super) fn new() -> Result<Self> {
        let key = KeyPair::generate().map_err(Error::other)?;
        let mut authority = CertificateParams::new(Vec::new()).map_err(Error::other)?;
        authority.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        authority.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::DigitalSignature];
        authority.distinguished_name.push(DnType::CommonName, "an authority for one test");
        let root = authority.self_signed(&key).map_err(Error::other)?.pem();
        let issuer = Issuer::new(authority, key);
        let own_key = KeyPair::generate().map_err(Error::other)?;
        let own = CertificateParams::new(vec!["127.0.0.1".to_owned(), "localhost".to_owned()]).map_err(Error::other)?;
        let certificate = own.signed_by(&own_key, &issuer).map_err(Error::other)?;
        let secret = PrivateKeyDer::from(PrivatePkcs8KeyDer::from(own_key.serialize_der()));
        let config = ServerConfig::builder_with_provider(Arc::new(rustls::crypto::ring::default_provider()))
            .with_safe_default_protocol_versions()
            .map_err(Error::other)?
            .with_no_client_auth()
            .with_single_cert(vec![certificate.der().clone()], secret)
            .map_err(Error::other)?;
        Ok(Self { root, config: Arc::new(config) })
    }

    pub(super) fn over(&self, stream: TcpStream) -> Result<Stream> {
        let connection = ServerConnection::new(self.config.clone()).map_err(Error::other)?;
        Ok(Stream(StreamOwned::new(connection, stream)))
    }
}

impl std::io::Read for Stream {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        self.0.read(buffer)
    }
}

impl Write for Stream {
    fn write(&mut self, bytes: &[u8]) -> Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> Result<()> {
        self.0.flush()
    }
}

impl Drop for Stream {
    fn drop(&mut self) {
        self.0.conn.send_close_notify();
        let _ = self.0.flush();
    }
}

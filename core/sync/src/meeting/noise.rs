//! The handshake and the channel: `Noise_XXpsk3_25519_ChaChaPoly_SHA256` of the Noise Protocol
//! Framework, revision 34, over the crates that the rest of the library uses already.

use chacha20poly1305::aead::AeadInOut;
use chacha20poly1305::{ChaCha20Poly1305, KeyInit, Tag};
use sha2::{Digest, Sha256};
use snow::params::{CipherChoice, DHChoice, HashChoice};
use snow::resolvers::CryptoResolver;
use snow::types::{Cipher, Dh, Hash, Random};
use snow::{Builder, Error, HandshakeState, TransportState};
use x25519_dalek::{PublicKey, StaticSecret};
use zeroize::Zeroizing;

const PATTERN: &str = "Noise_XXpsk3_25519_ChaChaPoly_SHA256";
const CONTEXT_EPHEMERAL: &str = "fallaway v1 meeting ephemeral key";
/// Bytes of a Poly1305 tag.
const POLY: usize = 16;
/// Most bytes of a message of Noise.
const MAX_MESSAGE: usize = 65_535;

/// A handshake that is under way.
pub(crate) struct Handshake(Box<HandshakeState>);

impl Handshake {
    /// Begins one: `secret` is the key of this end for this one meeting, `seed` is what the ephemeral
    /// key follows from. Both sides must state the same `prologue`.
    pub(crate) fn new(
        listens: bool,
        secret: &[u8; 32],
        seed: [u8; 32],
        prologue: &[u8],
    ) -> Result<Self, Error> {
        let crates = Box::new(OwnCrates(Zeroizing::new(seed)));
        let builder = Builder::with_resolver(PATTERN.parse()?, crates);
        let builder = builder.local_private_key(secret)?.prologue(prologue)?;
        let state = if listens { builder.build_responder() } else { builder.build_initiator() };
        Ok(Self(Box::new(state?)))
    }

    /// The key that both ends have to know. The third message needs it.
    pub(crate) fn set_key(&mut self, key: &[u8; 32]) -> Result<(), Error> {
        self.0.set_psk(3, key)
    }

    /// The next message of this end.
    pub(crate) fn write(&mut self) -> Result<Vec<u8>, Error> {
        let mut message = vec![0; 128];
        let length = self.0.write_message(&[], &mut message)?;
        message.truncate(length);
        Ok(message)
    }

    /// Takes the next message of the other end.
    pub(crate) fn read(&mut self, message: &[u8]) -> Result<(), Error> {
        let mut payload = vec![0; MAX_MESSAGE];
        match self.0.read_message(message, &mut payload)? {
            0 => Ok(()),
            _ => Err(Error::Input),
        }
    }

    /// The channel, and the hash by which the handshake is known.
    pub(crate) fn channel(self) -> Result<(Channel, [u8; 32]), Error> {
        let hash = self.0.get_handshake_hash().try_into().map_err(|_| Error::Input)?;
        Ok((Channel(Box::new(self.0.into_transport_mode()?)), hash))
    }
}

/// What both ends say behind the handshake.
pub(crate) struct Channel(Box<TransportState>);

impl Channel {
    /// Seals a text; the parts that are sent fit.
    pub(crate) fn seal(&mut self, text: &[u8]) -> Result<Vec<u8>, Error> {
        let mut message = vec![0; text.len() + POLY];
        let length = self.0.write_message(text, &mut message)?;
        message.truncate(length);
        Ok(message)
    }

    /// Opens what the other end sealed, in its order.
    pub(crate) fn open(&mut self, message: &[u8]) -> Result<Vec<u8>, Error> {
        let mut text = vec![0; message.len()];
        let length = self.0.read_message(message, &mut text)?;
        text.truncate(length);
        Ok(text)
    }
}

/// Gives the handshake its cryptography. What is random in it follows from the bytes inside.
struct OwnCrates(Zeroizing<[u8; 32]>);

impl CryptoResolver for OwnCrates {
    fn resolve_rng(&self) -> Option<Box<dyn Random>> {
        let mut hasher = blake3::Hasher::new_derive_key(CONTEXT_EPHEMERAL);
        hasher.update(&*self.0);
        Some(Box::new(Drawn(hasher.finalize_xof())))
    }

    fn resolve_dh(&self, choice: &DHChoice) -> Option<Box<dyn Dh>> {
        matches!(choice, DHChoice::Curve25519).then(|| Box::new(X25519::default()) as Box<dyn Dh>)
    }

    fn resolve_hash(&self, choice: &HashChoice) -> Option<Box<dyn Hash>> {
        matches!(choice, HashChoice::SHA256).then(|| Box::new(Sha(Sha256::new())) as Box<dyn Hash>)
    }

    fn resolve_cipher(&self, choice: &CipherChoice) -> Option<Box<dyn Cipher>> {
        matches!(choice, CipherChoice::ChaChaPoly)
            .then(|| Box::new(ChaCha(Zeroizing::default())) as Box<dyn Cipher>)
    }
}

struct Drawn(blake3::OutputReader);

impl Random for Drawn {
    fn try_fill_bytes(&mut self, dest: &mut [u8]) -> Result<(), Error> {
        self.0.fill(dest);
        Ok(())
    }
}

/// A pair of keys on Curve25519 (RFC 7748).
#[derive(Default)]
struct X25519 {
    secret: Zeroizing<[u8; 32]>,
    public: [u8; 32],
}

impl X25519 {
    fn take(&mut self, secret: [u8; 32]) {
        *self.secret = secret;
        self.public = PublicKey::from(&StaticSecret::from(secret)).to_bytes();
    }
}

impl Dh for X25519 {
    fn name(&self) -> &'static str {
        "25519"
    }

    fn pub_len(&self) -> usize {
        32
    }

    fn priv_len(&self) -> usize {
        32
    }

    fn set(&mut self, privkey: &[u8]) {
        if let Ok(secret) = privkey.try_into() {
            self.take(secret);
        }
    }

    fn generate(&mut self, rng: &mut dyn Random) -> Result<(), Error> {
        let mut secret = Zeroizing::new([0; 32]);
        rng.try_fill_bytes(&mut *secret)?;
        self.take(*secret);
        Ok(())
    }

    fn pubkey(&self) -> &[u8] {
        &self.public
    }

    fn privkey(&self) -> &[u8] {
        &*self.secret
    }

    fn dh(&self, pubkey: &[u8], out: &mut [u8]) -> Result<(), Error> {
        // The buffer has room for longer keys of other curves.
        let (public, _) = pubkey.split_first_chunk::<32>().ok_or(Error::Dh)?;
        let secret = StaticSecret::from(*self.secret);
        let shared = secret.diffie_hellman(&PublicKey::from(*public));
        if !shared.was_contributory() {
            return Err(Error::Dh);
        }
        out.get_mut(..32).ok_or(Error::Dh)?.copy_from_slice(shared.as_bytes());
        Ok(())
    }
}

/// SHA-256 (FIPS 180-4).
struct Sha(Sha256);

impl Hash for Sha {
    fn name(&self) -> &'static str {
        "SHA256"
    }

    fn block_len(&self) -> usize {
        64
    }

    fn hash_len(&self) -> usize {
        32
    }

    fn reset(&mut self) {
        self.0 = Sha256::new();
    }

    fn input(&mut self, data: &[u8]) {
        self.0.update(data);
    }

    fn result(&mut self, out: &mut [u8]) {
        let hash = self.0.finalize_reset();
        out.iter_mut().zip(hash).for_each(|(to, from)| *to = from);
    }
}

/// ChaCha20-Poly1305 (RFC 8439); the nonce is four zero bytes and the message's number, little-endian.
struct ChaCha(Zeroizing<[u8; 32]>);

impl ChaCha {
    fn cipher(&self) -> ChaCha20Poly1305 {
        ChaCha20Poly1305::new((&*self.0).into())
    }
}

fn nonce(number: u64) -> [u8; 12] {
    let mut nonce = [0; 12];
    nonce.iter_mut().skip(4).zip(number.to_le_bytes()).for_each(|(to, from)| *to = from);
    nonce
}

impl Cipher for ChaCha {
    fn name(&self) -> &'static str {
        "ChaChaPoly"
    }

    fn set(&mut self, key: &[u8; 32]) {
        *self.0 = *key;
    }

    /// `out` has room for text and tag; the trait knows no failure, and a text is never too long.
    fn encrypt(&self, number: u64, authtext: &[u8], plaintext: &[u8], out: &mut [u8]) -> usize {
        let length = plaintext.len();
        if let Some((text, rest)) = out.split_at_mut_checked(length)
            && let Some(place) = rest.get_mut(..POLY)
        {
            text.copy_from_slice(plaintext);
            let sealed = self.cipher().encrypt_inout_detached(
                (&nonce(number)).into(),
                authtext,
                text.into(),
            );
            if let Ok(tag) = sealed {
                place.copy_from_slice(&tag);
            }
        }
        length + POLY
    }

    fn decrypt(
        &self,
        number: u64,
        authtext: &[u8],
        ciphertext: &[u8],
        out: &mut [u8],
    ) -> Result<usize, Error> {
        let (sealed, tag) = ciphertext.split_last_chunk::<POLY>().ok_or(Error::Decrypt)?;
        let text = out.get_mut(..sealed.len()).ok_or(Error::Decrypt)?;
        text.copy_from_slice(sealed);
        let nonce = nonce(number);
        let opened = self.cipher().decrypt_inout_detached(
            (&nonce).into(),
            authtext,
            text.into(),
            &Tag::from(*tag),
        );
        opened.map_err(|_| Error::Decrypt)?;
        Ok(sealed.len())
    }
}

#[cfg(test)]
#[path = "noise_tests.rs"]
mod tests;
